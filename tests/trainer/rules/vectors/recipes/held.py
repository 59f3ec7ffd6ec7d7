"""Suspensions badly prepared, badly resolved, or in bad company."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from planting import Ground, Grow, Plant, Recipe, Spot, put
from verticals import AMONG_UPPER, OVER_BASS, agrees, gap, slow, spot_at

ALL = ("strict16", "conservatoire", "tonal")
OLD = ("strict16", "conservatoire")
STRICT = ("strict16",)
FUX = "Fux 1725, first book, the fourth species"
CHERUBINI = "Cherubini 1835, two parts, fourth order"
BRIDGE = "Bridge, Counterpoint (c. 1878), ch. 9"
GROVE = "Rockstro, Strict Counterpoint, in Grove's Dictionary 3 (1883), p. 742"


def suspensions(ground: Ground) -> Iterator[tuple[Spot, Spot, int, list[Spot]]]:
    """Held note, resolution, bar line, and what clashes: a half tied to a half, resolving down by step."""
    for spot in ground.movable():
        over = (spot.bar + 1) * 4
        after = ground.after(spot)
        if not ground.quick(spot.voice) or not spot.onset < over < spot.end or after is None or after.onset != over + 2:
            continue
        if after.place != spot.place - 1 or after.bar >= ground.bars - 1:
            continue
        clash = [s for s in struck(ground, over, spot.voice) if not fits(ground, spot, s, over)]
        if clash:
            yield spot, after, over, clash


def struck(ground: Ground, moment: int, but: int) -> list[Spot]:
    return [
        s for v in range(ground.parts) if v != but and (s := ground.at(v, moment)) is not None and s.onset == moment
    ]


def fits(ground: Ground, a: Spot, b: Spot, moment: int | Fraction) -> bool:
    bass = ground.below(moment)
    return gap(a, b) in (OVER_BASS if bass in (a, b) else AMONG_UPPER)


def resolves_badly(sizes: tuple[int, ...]) -> Grow:
    """The suspension goes elsewhere than down a step, to a consonance."""

    def grow(ground: Ground, rules: str) -> Iterator[Plant]:
        for held, after, over, _clash in suspensions(ground):
            if held.end != over + 2:
                continue
            for size in sizes:
                new = spot_at(ground, after, held.place + size)
                leading = rules == "tonal" and new.midi - held.midi == 1
                if agrees(ground, new, new) and not leading:
                    yield Plant(put((after, new.name)), over, after.onset, (held.voice,))

    return grow


def prepared_badly(ground: Ground, rules: str) -> Iterator[Plant]:
    """The lowest voice of the bar before is rewritten so that the note to be held is a dissonance already."""
    for held, _after, over, clash in suspensions(ground):
        below = ground.below(held.onset, but=held.voice)
        bass = ground.below(over, but=held.voice)
        if below is None or bass is None or below.midi > held.midi or not slow(ground, below.voice) or below.bar == 0:
            continue
        if bass not in clash:
            continue
        for where in range(below.place - 4, below.place + 5):
            new = spot_at(ground, below, where)
            if (
                new.midi < held.midi
                and gap(new, held) in {(1, 1), (1, 2), (6, 10), (6, 11), (3, 5)}
                and new.place != bass.place
            ):
                yield Plant(put((below, new.name)), held.onset, over, (held.voice,))


def prepared_by_leap(ground: Ground, rules: str) -> Iterator[Plant]:
    """The tied note itself is rewritten: a dissonance when it is struck, and again at the bar line, then down by step."""
    for spot in ground.movable():
        over = (spot.bar + 1) * 4
        after = ground.after(spot)
        if (
            spot.bar == 0
            or ground.species[spot.voice] != "4"
            or not spot.onset < over < spot.end
            or after is None
            or after.onset != over + 2
        ):
            continue
        for where in range(spot.place - 4, spot.place + 5):
            new, goal = spot_at(ground, spot, where), spot_at(ground, after, where - 1)
            first, second = ground.below(spot.onset, but=spot.voice), ground.below(over, but=spot.voice)
            if (
                first is None
                or second is None
                or new.midi <= first.midi
                or new.midi <= second.midi
                or second.onset != over
            ):
                continue
            if gap(new, first) in OVER_BASS or gap(new, second) in OVER_BASS or not agrees(ground, goal, goal):
                continue
            if first.name == second.name:
                continue  # Fux lets a fourth over a standing bass prepare itself
            yield Plant(put((spot, new.name), (after, goal.name)), spot.onset, over, (spot.voice,))


def bass_moves(ground: Ground, rules: str) -> Iterator[Plant]:
    """The bass under a suspension leaves its note in the middle of the bar (strict), or already on the second quarter."""
    for held, after, over, clash in suspensions(ground):
        bass = ground.below(over)
        if bass is None or bass not in clash or bass.length != 4 or held is bass:
            continue
        for size in (1, -1, 2, -2, 3, -3, 4, -4):
            new = spot_at(ground, bass, bass.place + size)
            if gap(new, after) not in OVER_BASS or new.midi >= after.midi:
                continue
            following = ground.after(bass)
            if rules == "strict16" and following is not None and following.name != new.name:
                edits = {(bass.voice, bass.index): ((bass.name, Fraction(2)), (new.name, Fraction(2)))}
                yield Plant(edits, over, over + 2, (held.voice, bass.voice))


def resolution_doubled(ground: Ground, rules: str) -> Iterator[Plant]:
    """Another upper voice already has the note to which the suspension will go."""
    for held, after, over, _clash in suspensions(ground):
        bass = ground.below(over)
        for other in struck(ground, over, held.voice):
            if (
                other is bass
                or held is bass
                or ground.species[other.voice] == "cantus"
                or not slow(ground, other.voice)
                or ground.parts < 3
            ):
                continue
            for octave in (-14, -7, 0, 7):
                new = spot_at(ground, other, after.place + octave)
                if (
                    new.name[:-1] == after.name[:-1]
                    and bass is not None
                    and new.midi > bass.midi
                    and abs(new.place - other.place) <= 4
                    and bass is not None
                    and gap(new, bass) in OVER_BASS
                ):
                    yield Plant(put((other, new.name)), over, over + 2, tuple(sorted((held.voice, other.voice))))


def suspension_doubled(ground: Ground, rules: str) -> Iterator[Plant]:
    """Another voice strikes the suspended letter."""
    for held, _after, over, _clash in suspensions(ground):
        bass = ground.below(over)
        for other in struck(ground, over, held.voice):
            if (
                other is bass
                or ground.species[other.voice] == "cantus"
                or not slow(ground, other.voice)
                or ground.parts < 3
            ):
                continue
            for octave in (-14, -7, 7, 14):
                new = spot_at(ground, other, held.place + octave)
                if abs(new.place - other.place) <= 5:
                    yield Plant(put((other, new.name)), over, over + 2, tuple(sorted((held.voice, other.voice))))


Q, E, H = Fraction(1), Fraction(1, 2), Fraction(2)


def ornament(places: tuple[int, ...], *, last: int = -1) -> Grow:
    """In florid lines the held half is cut to a quarter and something forbidden stands before its resolution."""

    def grow(ground: Ground, rules: str) -> Iterator[Plant]:
        for held, after, over, _clash in suspensions(ground):
            if last != -1 and after.bar >= ground.bars - 2:
                continue  # at the close the leading note would suffer too
            if ground.species[held.voice] != "5" or held.end != over + 2:
                continue
            if len(places) == 1:
                between = ((ground.pitch(held.place + places[0]), Q),)
            else:
                between = tuple((ground.pitch(held.place + p), E) for p in places)
            first = spot_at(ground, after, held.place + places[0])
            middle = Spot(held.voice, 0, Fraction(over + 1), Q, first.name)
            if last == -1 and abs(places[0]) > 1 and not agrees(ground, middle, middle):
                continue
            goal = after if last == -1 else spot_at(ground, after, held.place + last)
            if last != -1 and not agrees(ground, goal, goal):
                continue
            edits = {
                (held.voice, held.index): ((held.name, Fraction(over + 1) - held.onset), *between),
                (held.voice, after.index): ((goal.name, after.length),),
            }
            yield Plant(edits, over, over + 2, (held.voice,))

    return grow


BROKEN = ("susp-resolve-down", "dissonance-weak", "dissonance-left-by-leap")
RECIPES = [
    Recipe(
        "susp-resolve-down",
        "A suspension goes up a step.",
        GROVE,
        resolves_badly((1,)),
        ALL,
        ("ornamented-resolution", "third-present", "chord-complete"),
    ),
    Recipe(
        "susp-resolve-down",
        "A suspension leaps down a third or fourth.",
        GROVE,
        resolves_badly((-2, -3)),
        ALL,
        ("ornamented-resolution", "third-present", "chord-complete"),
    ),
    Recipe(
        "susp-resolve-down",
        "A suspension leaps up.",
        GROVE,
        resolves_badly((2, 3, 5)),
        ALL,
        ("ornamented-resolution", "third-present", "chord-complete"),
    ),
    Recipe(
        "susp-prep",
        "The bass is rewritten under the note to be tied, which is a dissonance now.",
        GROVE,
        prepared_badly,
        ALL,
        ("dissonance-weak",),
    ),
    Recipe(
        "susp-prep",
        "A dissonance is struck off the accent, tied, and resolves.",
        GROVE,
        prepared_by_leap,
        ALL,
        ("dissonance-weak",),
    ),
    Recipe("susp-bass-still", "The bass leaves its note when the suspension resolves.", FUX, bass_moves, STRICT),
    Recipe(
        "susp-note-anticipated",
        "An upper voice already has the note of resolution.",
        BRIDGE,
        resolution_doubled,
        ALL,
        ("all-consonant",),
    ),
    Recipe(
        "double-suspended",
        "An upper voice strikes the suspended note an octave away.",
        "Bridge, Counterpoint (c. 1878), ch. 12",
        suspension_doubled,
        ALL,
        (
            "all-consonant",
            "dissonance-struck",
            "fourth-vs-bass",
            "six-four",
            "seventh-allowed",
            "double-tendency",
            "third-present",
        ),
    ),
    Recipe(
        "ornamented-resolution",
        "After the held quarter a fourth up, then the resolution.",
        "Lehmann, Simple Counterpoint, lesson IX",
        ornament((3,)),
        ALL,
        BROKEN,
    ),
    Recipe(
        "ornamented-resolution",
        "After the held quarter a leap of a fourth down, then the resolution.",
        "Lehmann, Simple Counterpoint, lesson IX",
        ornament((-3,)),
        ALL,
        BROKEN,
    ),
    Recipe(
        "ornamented-resolution",
        "The step down comes early and the line is elsewhere on the third quarter.",
        "Lehmann, Simple Counterpoint, lesson IX",
        ornament((-1,), last=-2),
        ALL,
        BROKEN,
    ),
]
