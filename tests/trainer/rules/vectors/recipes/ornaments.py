"""Lawful ornaments: dissonances and licences that no checker may call forbidden."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from held import suspensions
from licences import (
    dominant_seventh,
    imperfect_chain,
    leap_that_turns,
    major_close,
    rising_leading_note,
    saved_outline,
    stepping_soprano,
    weak_unison,
    whole_figure,
)
from planting import Ground, Grow, Plant, Recipe, Spot, put
from verticals import agrees, clashes, gap, spot_at, weak

ALL = ("strict16", "conservatoire", "tonal")
LATER = ("conservatoire", "tonal")
STRICT = ("strict16",)
TONAL = ("tonal",)
FUX = "Fux 1725, first book"
GROVE = "Rockstro, Strict Counterpoint, in Grove's Dictionary 3 (1883), pp. 741-743"
LEHMANN = "Lehmann, Simple Counterpoint"
TRADE = "common practice, no source"
E, Q, H = Fraction(1, 2), Fraction(1), Fraction(2)


def passing_half(ground: Ground, rules: str) -> Iterator[Plant]:
    """The weak half fills a third between two accents and clashes with what is held."""
    for spot in ground.movable():
        before, after = ground.after(spot, -1), ground.after(spot)
        if (
            ground.species[spot.voice] != "2"
            or spot.length != 2
            or not weak(ground, spot)
            or before is None
            or after is None
        ):
            continue
        if before.end != spot.onset or after.end == ground.end:
            continue
        for way in (1, -1):
            new, goal = spot_at(ground, spot, before.place + way), spot_at(ground, after, before.place + 2 * way)
            if clashes(ground, new) and agrees(ground, goal, goal):
                yield Plant(put((spot, new.name), (after, goal.name)), spot.onset, spot.onset, (spot.voice,))


def neighbour_half(ground: Ground, rules: str) -> Iterator[Plant]:
    """A dissonant weak half goes out by step and comes back."""
    for spot in ground.movable():
        before, after = ground.after(spot, -1), ground.after(spot)
        if (
            ground.species[spot.voice] != "2"
            or spot.length != 2
            or not weak(ground, spot)
            or before is None
            or after is None
        ):
            continue
        for way in (1, -1):
            new, goal = spot_at(ground, spot, before.place + way), spot_at(ground, after, before.place)
            if (
                before.end == spot.onset
                and after.end < ground.end
                and clashes(ground, new)
                and agrees(ground, goal, goal)
            ):
                yield Plant(put((spot, new.name), (after, goal.name)), spot.onset, spot.onset, (spot.voice,))


def quarters(
    ground: Ground, shape: tuple[int, ...], at: int, *, dissonant: tuple[int, ...], either: tuple[int, ...]
) -> Iterator[Plant]:
    """Quarters from a given beat on, as staff places from the first: some clash, some may do either, the others agree."""
    for first in ground.movable():
        if ground.species[first.voice] not in {"3", "5"} or first.beat != at or first.bar == 0 or first.length != 1:
            continue
        notes = [first]
        while len(notes) < len(shape):
            following = ground.after(notes[-1])
            if following is None or following.onset != notes[-1].end or following.end == ground.end:
                break
            notes.append(following)
        if len(notes) < len(shape) or any(n.length != 1 for n in notes[:-1]):
            continue
        new = [spot_at(ground, n, first.place + size) for n, size in zip(notes, shape, strict=True)]
        fine = all(
            k in either or (clashes(ground, n) if k in dissonant else agrees(ground, n, n)) for k, n in enumerate(new)
        )
        if fine and all(weak(ground, notes[k]) for k in dissonant):
            where = new[dissonant[0]].onset
            yield Plant(put(*((a, b.name) for a, b in zip(notes, new, strict=True))), where, where, (first.voice,))


def quick(shape: tuple[int, ...], at: int, *dissonant: int, either: tuple[int, ...] = ()) -> Grow:
    def grow(ground: Ground, rules: str) -> Iterator[Plant]:
        yield from quarters(ground, shape, at, dissonant=dissonant, either=either)

    return grow


def plain_suspension(figure: tuple[int, ...], *, below: bool, parts: int) -> Grow:
    """A suspension as Fux has it, named by its figure over the bass (or, below, by what the other voice has over it)."""

    def grow(ground: Ground, rules: str) -> Iterator[Plant]:
        if ground.parts != parts:
            return
        for held, _after, over, clash in suspensions(ground):
            bass = ground.below(over)
            if bass is None or (bass is held) != below:
                continue
            other = bass if not below else clash[0]
            if gap(held, other)[0] in figure:
                yield Plant({}, over, over + 2, (held.voice,))

    return grow


def ornamented(words: tuple[tuple[int, Fraction], ...]) -> Grow:
    """The held half is cut to a quarter; these notes (places from it) stand on the second quarter, then the resolution."""

    def grow(ground: Ground, rules: str) -> Iterator[Plant]:
        for held, after, over, _clash in suspensions(ground):
            if held.end != over + 2 or ground.species[held.voice] != "5":
                continue
            middle = Spot(held.voice, 0, Fraction(over + 1), Q, ground.pitch(held.place + words[0][0]))
            leaps = abs(words[0][0]) > 1 or words == ((-1, Q),)
            if leaps and not agrees(ground, middle, middle):
                continue
            between = tuple((ground.pitch(held.place + size), length) for size, length in words)
            edits = {(held.voice, held.index): ((held.name, Fraction(over + 1) - held.onset), *between)}
            yield Plant(edits, over, after.onset, (held.voice,))

    return grow


def eighth_pair(beat: int, shape: tuple[int, int, int]) -> Grow:
    """Two eighths in place of the quarter on this beat, by step throughout; the next note is rewritten."""

    def grow(ground: Ground, rules: str) -> Iterator[Plant]:
        for spot in ground.movable():
            before, after = ground.after(spot, -1), ground.after(spot)
            if (
                ground.species[spot.voice] != "5"
                or spot.beat != beat
                or spot.length != 1
                or before is None
                or after is None
            ):
                continue
            if spot.bar == 0 or after.end == ground.end or before.end != spot.onset or after.length < 1:
                continue
            if any(n.length == E for n in ground.spots[spot.voice] if abs(n.bar - spot.bar) < 2):
                continue
            goal = spot_at(ground, after, before.place + shape[2])
            second = Spot(spot.voice, 0, spot.onset + E, E, ground.pitch(before.place + shape[1]))
            first = Spot(spot.voice, 0, spot.onset, E, ground.pitch(before.place + shape[0]))
            if not agrees(ground, goal, goal) or not (agrees(ground, first, first) or agrees(ground, second, second)):
                continue
            edits = put((after, goal.name))
            edits[spot.voice, spot.index] = ((first.name, E), (second.name, E))
            yield Plant(edits, spot.onset, spot.onset + E, (spot.voice,))

    return grow


RECIPES = [
    Recipe("passing half", "A third between two accents is filled by a dissonant half.", FUX, passing_half, ALL),
    Recipe("neighbour half", "A dissonant half goes out by step and comes back.", TRADE, neighbour_half, LATER),
    Recipe("passing quarter", "Dissonant second quarter, upwards.", GROVE, quick((0, 1, 2), 1, 1), ALL),
    Recipe("passing quarter", "Dissonant second quarter, downwards.", GROVE, quick((0, -1, -2), 1, 1), ALL),
    Recipe("passing quarter", "Dissonant fourth quarter.", GROVE, quick((0, -1, -2), 3, 1), ALL),
    Recipe(
        "accented passing quarter",
        "Dissonant third quarter between consonances.",
        GROVE,
        quick((0, 1, 2, 3), 1, 2),
        ALL,
    ),
    Recipe(
        "accented passing quarter",
        "Dissonant third quarter between consonances, downwards.",
        GROVE,
        quick((0, -1, -2, -3), 1, 2),
        ALL,
    ),
    Recipe("neighbour quarter", "Lower neighbour on the second quarter.", GROVE, quick((0, -1, 0), 1, 1), ALL),
    Recipe("neighbour quarter", "Upper neighbour on the second quarter.", GROVE, quick((0, 1, 0), 1, 1), ALL),
    Recipe("neighbour quarter", "Neighbour on the fourth quarter.", GROVE, quick((0, -1, 0), 3, 1), ALL),
    Recipe(
        "cambiata",
        "Step down to a dissonance, third down, two steps up, from the first quarter.",
        FUX,
        quick((0, -1, -3, -2, -1), 1, 1),
        ALL,
    ),
    Recipe("cambiata", "The same from the third quarter.", FUX, quick((0, -1, -3, -2, -1), 3, 1, either=(3,)), ALL),
    Recipe(
        "double neighbour",
        "Upper neighbour, lower neighbour, the note again, and on down.",
        TRADE,
        quick((0, 1, -1, 0, -1), 1, 1, either=(2,)),
        LATER,
    ),
    Recipe(
        "double neighbour",
        "Lower neighbour, upper neighbour, the note again, and on up.",
        TRADE,
        quick((0, -1, 1, 0, 1), 1, 1, either=(2,)),
        LATER,
    ),
    *(
        Recipe(
            f"suspension {name}",
            f"As in a figure of {word} parts.",
            FUX,
            plain_suspension(figure, below=below, parts=n),
            ALL,
        )
        for n, word in ((2, "two"), (3, "three"), (4, "four"))
        for name, figure, below in (
            ("7-6", (6,), False),
            ("4-3", (3,), False),
            ("9-8", (1,), False),
            ("2-3 in the bass", (1,), True),
            ("4 in the bass", (3,), True),
        )
    ),
    Recipe(
        "ornamented resolution",
        "Early step, then an eighth pair turning round the resolution.",
        LEHMANN,
        ornamented(((-1, E), (-2, E))),
        ALL,
    ),
    Recipe("ornamented resolution", "The resolution anticipated by a quarter.", LEHMANN, ornamented(((-1, Q),)), ALL),
    Recipe(
        "ornamented resolution",
        "A third down to a consonance, then the resolution.",
        LEHMANN,
        ornamented(((-2, Q),)),
        ALL,
    ),
    Recipe(
        "ornamented resolution", "A fifth down to a consonance, then a fourth up.", LEHMANN, ornamented(((-4, Q),)), ALL
    ),
    Recipe(
        "ornamented resolution", "A step up, then a third down to the resolution.", LEHMANN, ornamented(((1, Q),)), ALL
    ),
    Recipe(
        "restruck suspension",
        "The suspension struck again on the second quarter, then the resolution.",
        LEHMANN,
        ornamented(((0, Q),)),
        ALL,
    ),
    Recipe("eighth pair", "Passing eighths on the second quarter.", FUX, eighth_pair(2, (1, 2, 3)), ALL),
    Recipe("eighth pair", "Passing eighths downwards on the second quarter.", FUX, eighth_pair(2, (-1, -2, -3)), ALL),
    Recipe("eighth pair", "A turn of eighths on the second quarter.", FUX, eighth_pair(2, (-1, -2, -1)), ALL),
    Recipe("eighth pair", "Eighths on the fourth quarter.", FUX, eighth_pair(4, (-1, -2, -3)), ALL),
    Recipe("wide leap", "A minor sixth up and a step back.", GROVE, leap_that_turns(5, 8), ALL),
    Recipe("wide leap", "An octave up and a step back.", GROVE, leap_that_turns(7, 12), ALL),
    Recipe("wide leap", "An octave down and a step back.", GROVE, leap_that_turns(-7, 12), ALL),
    Recipe(
        "wide leap", "A major sixth up and a step back (tonal only to be avoided).", TRADE, leap_that_turns(5, 9), TONAL
    ),
    Recipe(
        "wide leap", "A diminished fifth down that turns back inside by step.", TRADE, leap_that_turns(-4, 6), TONAL
    ),
    Recipe("saved outline", "Four steps one way: the augmented fourth is not at the ends.", GROVE, saved_outline, ALL),
    Recipe(
        "direct perfect", "Outer voices the same way into a fifth, the top by step.", FUX, stepping_soprano(11), ALL
    ),
    Recipe(
        "direct perfect", "Outer voices the same way into an octave, the top by step.", FUX, stepping_soprano(7), ALL
    ),
    Recipe(
        "direct perfect",
        "Outer voices the same way into a double octave, the top by step.",
        FUX,
        stepping_soprano(14),
        ALL,
    ),
    Recipe("three running", "Three thirds, tenths or sixths running, no more.", TRADE, imperfect_chain, ALL),
    Recipe(
        "weak unison",
        "A unison off the accent, left the other way.",
        "Cherubini 1835; Bridge (c. 1878), ch. 7",
        weak_unison,
        ALL,
    ),
    Recipe("chordal seventh", "A seventh reached by step or held, and falling.", LEHMANN, dominant_seventh, TONAL),
    Recipe("retardation", "A held leading note rises a semitone.", LEHMANN, rising_leading_note, TONAL),
    Recipe("major close", "The last chord with a major third.", GROVE, major_close, ALL),
    Recipe(
        "licence",
        "Two leaps to a seventh in the lowest voice.",
        FUX,
        whole_figure(("043", "045", "122", "154", "166", "193")),
        STRICT,
    ),
    Recipe(
        "licence",
        "A diminished fifth over the bass's leading note at the close.",
        FUX,
        whole_figure(("144", "151", "156")),
        STRICT,
    ),
    Recipe("licence", "A fourth prepared over a standing bass.", FUX, whole_figure(("141",)), STRICT),
    Recipe("licence", "A minor sixth down.", FUX, whole_figure(("042", "057")), STRICT),
    Recipe(
        "licence",
        "Outer voices five times in tenths in three parts; three voices crossed at an end.",
        FUX,
        whole_figure(("105", "113", "117", "195")),
        STRICT,
    ),
    Recipe("licence", "A suspension's half written again as a quarter.", FUX, whole_figure(("086a",)), STRICT),
    Recipe(
        "licence",
        "Voices crossed on an accent (only to be avoided in the strict style).",
        FUX,
        whole_figure(("124", "128", "132", "173", "175")),
        STRICT,
    ),
]
