"""Lawful ornaments: dissonances and licences that no checker may call forbidden."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from fractions import Fraction

from held import suspensions
from planting import Ground, Grow, Plant, Recipe, Spot, put
from verticals import agrees, clashes, gap, slow, spot_at, weak

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


def leap_that_turns(places: int, semitones: int) -> Grow:
    """A wide lawful leap, left by a step back."""

    def grow(ground: Ground, rules: str) -> Iterator[Plant]:
        way = 1 if places > 0 else -1
        for first in ground.movable():
            second, third = ground.after(first), ground.after(first, 2)
            if (
                second is None
                or third is None
                or third.end == ground.end
                or second.onset != first.end
                or third.onset != second.end
            ):
                continue
            new = spot_at(ground, second, first.place + places)
            back = spot_at(ground, third, new.place - way)
            if abs(new.midi - first.midi) == semitones:
                yield Plant(put((second, new.name), (third, back.name)), first.onset, third.onset, (first.voice,))

    return grow


def saved_outline(ground: Ground, rules: str) -> Iterator[Plant]:
    """Four steps one way: the augmented fourth lies inside the run, not at its ends."""
    for first in ground.movable():
        notes = [first, *(n for k in range(1, 5) if (n := ground.after(first, k)) is not None)]
        if len(notes) < 5 or notes[-1].end == ground.end or any(a.end != b.onset for a, b in itertools.pairwise(notes)):
            continue
        for way in (1, -1):
            for start in range(first.place - 2, first.place + 3):
                new = [spot_at(ground, n, start + way * k) for k, n in enumerate(notes)]
                if abs(new[3].midi - new[0].midi) == 6:
                    yield Plant(
                        put(*((a, b.name) for a, b in zip(notes, new, strict=True))),
                        first.onset,
                        notes[-1].onset,
                        (first.voice,),
                    )


def stepping_soprano(interval: int) -> Grow:
    """Three or four parts: outer voices the same way into a perfect consonance, the top one by step."""

    def grow(ground: Ground, rules: str) -> Iterator[Plant]:
        if ground.parts < 3:
            return
        top, low = 0, ground.parts - 1
        for spot in ground.movable():
            bass = ground.at(low, spot.onset)
            before = ground.after(spot, -1)
            if (
                spot.voice != top
                or bass is None
                or bass.onset != spot.onset
                or before is None
                or spot.end == ground.end
            ):
                continue
            deep = ground.after(bass, -1)
            new = spot_at(ground, spot, bass.place + interval)
            if deep is None or deep.end != bass.onset or abs(new.place - before.place) != 1:
                continue
            if (new.place - before.place) * (bass.place - deep.place) > 0 and gap(new, bass) in {(0, 0), (4, 7)}:
                yield Plant(put((spot, new.name)), before.onset, spot.onset, (top, low))

    return grow


def imperfect_chain(ground: Ground, rules: str) -> Iterator[Plant]:
    """Three thirds or sixths running with the bass or cantus, no more."""
    if ground.parts != 2 or set(ground.species) != {"1", "cantus"}:
        return
    mover = ground.species.index("1")
    for bar in range(1, ground.bars - 4):
        own = [ground.at(mover, (bar + k) * 4) for k in range(3)]
        cantus = [ground.at(1 - mover, (bar + k) * 4) for k in range(3)]
        for size in (2, 5, 9):
            sign = 1 if mover == 0 else -1
            changes = [(o, ground.pitch(c.place + sign * size)) for o, c in zip(own, cantus, strict=True) if o and c]
            yield Plant(put(*changes), bar * 4, bar * 4 + 8, (0, 1))


def weak_unison(ground: Ground, rules: str) -> Iterator[Plant]:
    """Two voices touch one pitch off the accent; the moving one came by leap and goes on the other way."""
    for spot in ground.movable():
        if spot.beat != 3 or not slow_neighbours(ground, spot) or spot.bar in (0, ground.bars - 2):
            continue
        before, after = ground.after(spot, -1), ground.after(spot)
        for v in (spot.voice - 1, spot.voice + 1):
            other = ground.at(v, spot.onset) if 0 <= v < ground.parts else None
            if (
                other is None
                or before is None
                or after is None
                or before.end != spot.onset
                or other.name in (before.name, after.name)
            ):
                continue
            apart = other.place - before.place
            if abs(apart) > 1 and (after.place - other.place) * apart < 0:
                yield Plant(put((spot, other.name)), spot.onset, spot.onset, (spot.voice, v))


def slow_neighbours(ground: Ground, spot: Spot) -> bool:
    return ground.quick(spot.voice) and all(slow(ground, v) for v in range(ground.parts) if v != spot.voice)


def dominant_seventh(ground: Ground, rules: str) -> Iterator[Plant]:
    """Four parts: a seventh reached by step or held, and falling by step."""
    from sevenths import sevenths

    final = "CDEFGAB".index(ground.mode[0])
    for before, old, new, after, root, lowest in sevenths(ground):
        if root == final or lowest or abs(new.place - before.place) > 1 or ground.species[after.voice] == "cantus":
            continue
        goal = spot_at(ground, after, new.place - 1)
        yield Plant(put((old, new.name), (after, goal.name)), old.onset, after.onset, (old.voice,))


def rising_leading_note(ground: Ground, rules: str) -> Iterator[Plant]:
    """Tonal: the leading note is held over the final's harmony and rises a semitone."""
    for spot in ground.movable():
        after = ground.after(spot)
        over = (spot.bar + 1) * 4
        if (
            ground.species[spot.voice] not in {"4", "5"}
            or after is None
            or not spot.onset < over < spot.end
            or spot.end != over + 2
        ):
            continue
        for where in range(spot.place - 3, spot.place + 4):
            new, goal = spot_at(ground, spot, where), spot_at(ground, after, where + 1)
            if (goal.place - "CDEFGAB".index(ground.mode[0])) % 7 or goal.midi - new.midi != 1:
                continue
            bass = ground.below(over, but=spot.voice)
            if bass is not None and gap(new, bass)[0] == 6 and agrees(ground, goal, goal):
                yield Plant(put((spot, new.name), (after, goal.name)), over, over + 2, (spot.voice,))


def whole_figure(numbers: tuple[str, ...]) -> Grow:
    """A figure that uses a licence, as printed."""

    def grow(ground: Ground, rules: str) -> Iterator[Plant]:
        if ground.name.removeprefix("fux-") in numbers:
            yield Plant({}, 0, int(ground.end) - 4, tuple(range(ground.parts)))

    return grow


def major_close(ground: Ground, rules: str) -> Iterator[Plant]:
    """The last chord gets a major third, raised where the mode has a minor one."""
    if ground.parts < 3:
        return
    for voice in range(ground.parts - 1):
        last, bass = ground.spots[voice][-1], ground.spots[-1][-1]
        before = ground.after(last, -1)
        if ground.species[voice] == "cantus" or before is None or "#" in before.name:
            continue
        for size in (0, 1, -1, 2, -2):
            for alter in (0, 1):
                new = spot_at(ground, last, last.place + size, alter)
                if gap(new, bass) == (2, 4) and new.midi > bass.midi:
                    yield Plant(put((last, new.name)), last.onset, last.onset, (voice,))


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
