"""Rhythm of the fifth species."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from planting import Ground, Plant, Recipe, Spot
from verticals import agrees

ALL = ("strict16", "conservatoire", "tonal")
LEHMANN = "Lehmann, Simple Counterpoint, lesson IX"
COUNTED = "counted in Fux's nineteen pairs: eighteen on the second quarter, one on the fourth"
TRADE = "common practice, no source"
E, Q, H, W = Fraction(1, 2), Fraction(1), Fraction(2), Fraction(4)


def florid_bars(ground: Ground) -> Iterator[tuple[int, list[Spot]]]:
    """Inner bars of a florid line that no tie enters or leaves."""
    for voice, line in enumerate(ground.spots):
        if ground.species[voice] != "5":
            continue
        for bar in range(1, ground.bars - 2):
            notes = [s for s in line if s.bar == bar]
            if notes and notes[0].onset == bar * 4 and notes[-1].end == bar * 4 + 4:
                yield voice, notes


def rewritten(
    notes: list[Spot], words: tuple[tuple[str, Fraction], ...]
) -> dict[tuple[int, int], tuple[tuple[str, Fraction], ...]]:
    """Edits that put these words in place of a bar's notes; a name with ~ is held on from before."""
    edits = {}
    queue = list(words)
    for _k, note in enumerate(notes):
        room, taken = note.length, []
        while room > 0 and queue:
            name, length = queue.pop(0)
            if length > room:
                taken.append((name, room))
                queue.insert(0, ("~" + name.lstrip("~"), length - room))
                room = Fraction(0)
            else:
                taken.append((name, length))
                room -= length
        edits[note.voice, note.index] = tuple(taken)
    return edits


def probe(ground: Ground, voice: int, moment: Fraction | int, name: str) -> bool:
    spot = Spot(voice, 0, Fraction(moment), Q, name)
    return agrees(ground, spot, spot)


def whole_bar(ground: Ground, rules: str) -> Iterator[Plant]:
    """A whole note inside a florid line."""
    for voice, notes in florid_bars(ground):
        words = ((notes[0].name, W),)
        yield Plant(rewritten(notes, words), notes[0].onset, notes[0].onset, (voice,))


def half_on_two(ground: Ground, rules: str) -> Iterator[Plant]:
    """Quarter, half, quarter."""
    for voice, notes in florid_bars(ground):
        first = notes[0]
        for middle in (1, -1, 2, -2):
            for last in (1, -1, 2, -2):
                names = first.name, ground.pitch(first.place + middle), ground.pitch(first.place + middle + last)
                moments = (first.onset + 1, first.onset + 3)
                if names[2] != names[0] and all(
                    probe(ground, voice, m, n) for m, n in zip(moments, names[1:], strict=True)
                ):
                    words = ((names[0], Q), (names[1], H), (names[2], Q))
                    yield Plant(rewritten(notes, words), first.onset + 1, first.onset + 1, (voice,))


def half_after_quarters(ground: Ground, rules: str) -> Iterator[Plant]:
    """Two quarters, then a half reached by leap and not tied."""
    for voice, notes in florid_bars(ground):
        first = notes[0]
        for one in (1, -1, 2, -2):
            for leap in (2, -2, 3, -3, 4, -4):
                middle = ground.pitch(first.place + one)
                last = ground.pitch(first.place + one + leap)
                following = ground.after(notes[-1])
                if following is None or following.name == last:
                    continue  # struck again on the next beat it would be a tie
                if (
                    last != first.name
                    and probe(ground, voice, first.onset + 2, last)
                    and probe(ground, voice, first.onset + 1, middle)
                ):
                    words = ((first.name, Q), (middle, Q), (last, H))
                    yield Plant(rewritten(notes, words), first.onset, first.onset + 2, (voice,))


def eighths_on_accent(ground: Ground, rules: str) -> Iterator[Plant]:
    """The pair of eighths stands on the third quarter, by step and else lawful."""
    for voice, notes in florid_bars(ground):
        first = notes[0]
        for way in (1, -1):
            p = first.place
            places = (p, p + way, p + 2 * way, p + way, p + 2 * way) if way else ()
            words = tuple((ground.pitch(q), v) for q, v in zip(places, (Q, Q, E, E, Q), strict=True))
            yield Plant(rewritten(notes, words), first.onset + 2, first.onset + Fraction(5, 2), (voice,))


def eighths_by_leap(ground: Ground, rules: str) -> Iterator[Plant]:
    """The pair on the second quarter, left by a leap from its second note."""
    for voice, notes in florid_bars(ground):
        first = notes[0]
        for way in (1, -1):
            for leap in (2, -2, 3, -3):
                p = first.place
                places = (p, p + way, p + 2 * way, p + 2 * way + leap)
                goal = ground.pitch(places[3])
                if not probe(ground, voice, first.onset + 2, goal):
                    continue
                if any(not probe(ground, voice, first.onset + Fraction(3, 2), ground.pitch(places[2])) for _ in (0,)):
                    continue  # only its leap is to be at fault
                ends = zip((*places, places[3] + (1 if leap < 0 else -1)), (Q, E, E, Q, Q), strict=True)
                words = tuple((ground.pitch(q), v) for q, v in ends)
                yield Plant(rewritten(notes, words), first.onset + 1, first.onset + Fraction(3, 2), (voice,))


def lone_eighth(ground: Ground, rules: str) -> Iterator[Plant]:
    """A dotted quarter and one eighth."""
    for voice, notes in florid_bars(ground):
        first = notes[0]
        for way in (1, -1):
            p = first.place
            places = (p, p + way, p + 2 * way)
            words = tuple((ground.pitch(q), v) for q, v in zip(places, (Q + E, E, H), strict=True))
            if probe(ground, voice, first.onset + 2, words[2][0]):
                yield Plant(
                    rewritten(notes, words), first.onset + Fraction(3, 2), first.onset + Fraction(3, 2), (voice,)
                )


def short_into_long(ground: Ground, rules: str) -> Iterator[Plant]:
    """A quarter on the fourth beat is tied to a half."""
    for voice, line in enumerate(ground.spots):
        if ground.species[voice] != "5":
            continue
        for spot in line:
            after = ground.after(spot)
            if (
                spot.beat != 4
                or spot.length != 1
                or after is None
                or after.length < 2
                or not 0 < spot.bar < ground.bars - 3
            ):
                continue
            held = Spot(voice, after.index, after.onset, after.length, spot.name)
            if not agrees(ground, held, held):
                continue
            edits = {
                (voice, after.index): (
                    ("~" + spot.name, Fraction(2)),
                    *(((after.name, after.length - 2),) if after.length > 2 else ()),
                )
            }
            yield Plant(edits, spot.onset, after.onset, (voice,))
        for spot in line:
            after, third = ground.after(spot), ground.after(spot, 2)
            if (
                spot.beat != 4
                or spot.length != 1
                or after is None
                or third is None
                or not 0 < spot.bar < ground.bars - 3
            ):
                continue
            if after.length != 1 or third.length != 1 or after.onset != spot.end:
                continue
            held = Spot(voice, after.index, after.onset, after.length, spot.name)
            if agrees(ground, held, held):
                edits = {(voice, after.index): (("~" + spot.name, Q),), (voice, third.index): (("~" + spot.name, Q),)}
                yield Plant(edits, spot.onset, after.onset, (voice,))


RECIPES = [
    Recipe("florid-values", "A whole note inside the florid line.", LEHMANN, whole_bar, ALL),
    Recipe(
        "florid-half-on-2", "Quarter, half, quarter: the half begins on the second quarter.", LEHMANN, half_on_two, ALL
    ),
    Recipe(
        "florid-half-after-quarters",
        "Two quarters and then a half that is not tied over, by leap.",
        "a university handout on the fifth species; " + LEHMANN,
        half_after_quarters,
        ("strict16",),
    ),
    Recipe("florid-eighths", "A pair of eighths on the third quarter.", COUNTED, eighths_on_accent, ALL),
    Recipe(
        "florid-eighths", "A pair of eighths left by leap.", LEHMANN, eighths_by_leap, ALL, ("dissonance-left-by-leap",)
    ),
    Recipe("florid-eighths", "An eighth alone after a dotted quarter.", LEHMANN, lone_eighth, ALL, ("florid-values",)),
    Recipe("tie-value", "A quarter on the last beat is tied to a half.", TRADE, short_into_long, ALL),
]
