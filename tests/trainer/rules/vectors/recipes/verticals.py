"""Struck dissonances, bare chords, doublings, crossings and distances."""

from __future__ import annotations

from collections.abc import Iterator

from planting import Ground, Grow, Plant, Recipe, Spot, put

ALL = ("strict16", "conservatoire", "tonal")
OLD = ("strict16", "conservatoire")
STRICT = ("strict16",)
FUX = "Fux 1725, first book, note against note"
GROVE = "Rockstro, Strict Counterpoint, in Grove's Dictionary 3 (1883), p. 741"
BRIDGE = "Bridge, Counterpoint (c. 1878), ch. 3"
TRADE = "common practice, no source"


def spot_at(ground: Ground, spot: Spot, where: int, alter: int = 0) -> Spot:
    return Spot(spot.voice, spot.index, spot.onset, spot.length, ground.pitch(where, alter))


def gap(a: Spot, b: Spot) -> tuple[int, int]:
    """Letters and semitones from the lower to the higher, octaves taken off."""
    low, high = sorted((a, b), key=lambda s: (s.place, s.midi))
    return (high.place - low.place) % 7, (high.midi - low.midi) % 12


OVER_BASS = {(0, 0), (2, 3), (2, 4), (4, 7), (5, 8), (5, 9)}
AMONG_UPPER = OVER_BASS | {(3, 5), (3, 6), (4, 6)}


def agrees(ground: Ground, spot: Spot, moment: int | Spot, *, but: int = -1) -> bool:
    """Whether a note fits with all that sounds at its onset, one voice left out."""
    at = spot.onset
    others = [s for v in range(ground.parts) if v not in (spot.voice, but) and (s := ground.at(v, at)) is not None]
    bass = min((*others, spot), key=lambda s: s.midi)
    return all(gap(spot, s) in (OVER_BASS if bass in (spot, s) else AMONG_UPPER) for s in others)


def slow(ground: Ground, voice: int) -> bool:
    return ground.species[voice] in {"1", "cantus"}


def struck_over_bass(intervals: set[tuple[int, int]], *, moving: bool, sixth: bool | None = None) -> Grow:
    """A note on a first beat is rewritten to stand at one of these intervals over the bass, and fits every other voice."""

    def grow(ground: Ground, rules: str) -> Iterator[Plant]:
        low = ground.parts - 1
        for spot in ground.movable():
            bass = ground.at(low, spot.onset)
            if (
                spot.voice == low
                or spot.beat != 1
                or bass is None
                or bass.onset != spot.onset
                or not 0 < spot.bar < ground.bars - 2
            ):
                continue
            if slow(ground, spot.voice) == moving or (not moving and not slow(ground, low)):
                continue
            if moving and spot.length > 2:
                continue
            if ground.parts > 2 and intervals >= {(6, 10)} and seventh_chord(ground, spot, bass):
                continue
            others = [s for v in range(low) if v != spot.voice and (s := ground.at(v, spot.onset)) is not None]
            if any(s.onset < spot.onset for s in others):
                continue
            if any(s.length > 4 for s in (spot, *others)):
                continue
            coloured = any(gap(s, bass)[0] in (2, 5) for s in others)
            if not coloured and (ground.parts == 4 or (ground.parts == 3 and rules == "tonal")):
                continue
            has_sixth = any(gap(s, bass)[0] == 5 for s in others)
            if sixth is not None and has_sixth != sixth:
                continue
            for where in range(spot.place - 4, spot.place + 5):
                new = spot_at(ground, spot, where)
                if new.place <= bass.place or gap(new, bass) not in intervals:
                    continue
                if rules == "tonal" and ground.parts == 4 and near_seventh(ground, new):
                    continue
                if all(gap(new, s) in AMONG_UPPER for s in others):
                    yield Plant(put((spot, new.name)), spot.onset, spot.onset, (spot.voice, low))

    return grow


def near_seventh(ground: Ground, spot: Spot) -> bool:
    """Whether what sounds might be heard as a seventh chord, be it without third or fifth."""
    letters = {
        s.place % 7 for v in range(ground.parts) if v != spot.voice and (s := ground.at(v, spot.onset)) is not None
    }
    letters.add(spot.place % 7)
    return any(
        {root, (root + 6) % 7} <= letters <= {root, (root + 2) % 7, (root + 4) % 7, (root + 6) % 7} for root in range(7)
    )


def seventh_chord(ground: Ground, spot: Spot, bass: Spot) -> bool:
    """Whether the bass carries a third, so that a seventh over it is a chord's."""
    others = [s for v in range(ground.parts) if v != spot.voice and (s := ground.at(v, spot.onset)) is not None]
    return any(gap(s, bass)[0] == 2 for s in others)


def struck_among_upper(ground: Ground, rules: str) -> Iterator[Plant]:
    """Fifth and sixth over one bass: two upper voices strike a second or seventh, each consonant with the bass."""
    low = ground.parts - 1
    for spot in ground.movable():
        bass = ground.at(low, spot.onset)
        if (
            spot.voice == low
            or spot.beat != 1
            or bass is None
            or bass.onset != spot.onset
            or not 0 < spot.bar < ground.bars - 2
        ):
            continue
        if ground.parts != 3:
            continue  # in four parts it is a seventh chord
        other = ground.at(1 - spot.voice, spot.onset)
        if (
            other is None
            or max(other.length, spot.length) > 4
            or other.onset != spot.onset
            or not (slow(ground, spot.voice) and slow(ground, other.voice))
        ):
            continue
        for where in range(spot.place - 4, spot.place + 5):
            new = spot_at(ground, spot, where)
            if gap(new, bass) in OVER_BASS and gap(new, other)[0] in (1, 6) and new.place > bass.place:
                yield Plant(put((spot, new.name)), spot.onset, spot.onset, (0, 1))


def weak_by_leap(ground: Ground, rules: str) -> Iterator[Plant]:
    """A short note off the accent clashes with what is held and is reached by leap."""
    for spot in ground.movable():
        before, after = ground.after(spot, -1), ground.after(spot)
        if not weak(ground, spot) or before is None or after is None or before.end != spot.onset or spot.bar == 0:
            continue
        for where in range(spot.place - 4, spot.place + 5):
            new = spot_at(ground, spot, where)
            if abs(where - before.place) < 2 or not clashes(ground, new):
                continue
            if ground.species[spot.voice] == "3" and abs(where - before.place) == 2 and spot.beat == 3:
                continue  # it might be the second half of a double neighbour
            yield Plant(put((spot, new.name)), spot.onset, spot.onset, (spot.voice,))


def weak(ground: Ground, spot: Spot) -> bool:
    """A half or quarter off the first beat, ended before the next bar, over voices that only hold."""
    if not ground.quick(spot.voice) or spot.beat == 1 or spot.length > 2 or spot.end > spot.bar * 4 + 4:
        return False
    held = [s for v in range(ground.parts) if v != spot.voice and (s := ground.at(v, spot.onset)) is not None]
    crossing = ground.after(spot, -1)
    tied_in = crossing is not None and crossing.bar < spot.bar
    return all(slow(ground, s.voice) and s.onset < spot.onset for s in held) and not (tied_in and spot.beat == 2)


def clashes(ground: Ground, new: Spot) -> bool:
    """Whether a note is dissonant with the bass it stands over."""
    bass = ground.below(new.onset, but=new.voice)
    if bass is None:
        return False
    if new.midi < bass.midi:
        others = [s for v in range(ground.parts) if v != new.voice and (s := ground.at(v, new.onset)) is not None]
        return any(gap(new, s) not in OVER_BASS for s in others)
    return gap(new, bass) not in OVER_BASS


def left_by_leap(sizes: tuple[int, ...], species: set[str]) -> Grow:
    """A note off the accent, reached by step and dissonant, is left by these leaps (the next note is rewritten)."""

    def grow(ground: Ground, rules: str) -> Iterator[Plant]:
        for spot in ground.movable():
            before, after = ground.after(spot, -1), ground.after(spot)
            if ground.species[spot.voice] not in species or not weak(ground, spot) or before is None or after is None:
                continue
            if before.end != spot.onset or after.end == ground.end or spot.bar == 0:
                continue
            for way in (1, -1):
                new = spot_at(ground, spot, before.place + way)
                if not clashes(ground, new):
                    continue
                for size in sizes:
                    goal = spot_at(ground, after, new.place + size)
                    on = (size < 0) == (way < 0) and ground.species[spot.voice] != "2"
                    if abs(size) == 2 and goal.place != before.place - way and on:
                        continue  # it begins like a cambiata
                    if abs(size) == 2 and goal.place == before.place - way:
                        continue  # it begins like a double neighbour
                    yield Plant(put((spot, new.name), (after, goal.name)), spot.onset, spot.onset, (spot.voice,))

    return grow


def broken_cambiata(ground: Ground, rules: str) -> Iterator[Plant]:
    """Down a step to a dissonance and down a third, then not up by step: down, or a leap up."""
    for first in ground.movable():
        notes = [first, *(n for k in (1, 2, 3) if (n := ground.after(first, k)) is not None)]
        if (
            len(notes) < 4
            or ground.species[first.voice] not in {"3", "5"}
            or first.beat not in (1, 3)
            or first.bar == 0
        ):
            continue
        if any(n.length != 1 for n in notes[:3]) or notes[3].end == ground.end or not weak(ground, notes[1]):
            continue
        second = spot_at(ground, notes[1], first.place - 1)
        third = spot_at(ground, notes[2], first.place - 3)
        if not clashes(ground, second) or not agrees(ground, first, first) or not agrees(ground, third, third):
            continue
        for on in (-1, 2, 3):
            fourth = spot_at(ground, notes[3], third.place + on)
            changes = zip(notes[1:], (second, third, fourth), strict=True)
            yield Plant(put(*((a, b.name) for a, b in changes)), notes[1].onset, notes[2].onset, (first.voice,))


def upward_cambiata(ground: Ground, rules: str) -> Iterator[Plant]:
    """The cambiata upside down: up a step to a dissonance, up a third, and back down by step."""
    for first in ground.movable():
        notes = [first, *(n for k in (1, 2, 3) if (n := ground.after(first, k)) is not None)]
        if (
            len(notes) < 4
            or ground.species[first.voice] not in {"3", "5"}
            or first.beat not in (1, 3)
            or first.bar == 0
        ):
            continue
        if any(n.length != 1 for n in notes[:3]) or notes[3].end == ground.end or not weak(ground, notes[1]):
            continue
        places = (first.place + 1, first.place + 3, first.place + 2)
        new = [spot_at(ground, n, p) for n, p in zip(notes[1:], places, strict=True)]
        if clashes(ground, new[0]) and agrees(ground, first, first) and agrees(ground, new[1], first):
            yield Plant(
                put(*((a, b.name) for a, b in zip(notes[1:], new, strict=True))),
                notes[1].onset,
                notes[2].onset,
                (first.voice,),
            )


def both_neighbours(ground: Ground, rules: str) -> Iterator[Plant]:
    """A bar of four quarters: the note, one neighbour (dissonant), the other, the note again."""
    for first in ground.movable():
        notes = [first, *(n for k in (1, 2, 3, 4) if (n := ground.after(first, k)) is not None)]
        if len(notes) < 5 or ground.species[first.voice] not in {"3", "5"} or first.beat != 1 or first.bar == 0:
            continue
        if any(n.length != 1 for n in notes[:4]) or notes[4].end == ground.end or not weak(ground, notes[1]):
            continue
        if first.name != ground.pitch(first.place):
            continue
        for way in (1, -1):
            places = (first.place + way, first.place - way, first.place)
            new = [spot_at(ground, n, p) for n, p in zip(notes[1:4], places, strict=True)]
            on = notes[4].place == first.place - way
            if on and clashes(ground, new[0]) and agrees(ground, first, first):
                changes = put(*((a, b.name) for a, b in zip(notes[1:4], new, strict=True)))
                yield Plant(changes, notes[1].onset, notes[2].onset, (first.voice,))


def turning_half(ground: Ground, rules: str) -> Iterator[Plant]:
    """Second species: a dissonant weak half that goes out by step and comes back."""
    for spot in ground.movable():
        before, after = ground.after(spot, -1), ground.after(spot)
        if ground.species[spot.voice] != "2" or not weak(ground, spot) or before is None or after is None:
            continue
        if before.end != spot.onset or spot.length != 2 or spot.bar == 0 or after.end == ground.end:
            continue
        for way in (1, -1):
            new = spot_at(ground, spot, before.place + way)
            if clashes(ground, new):
                back = put((spot, new.name), (after, before.name))
                yield Plant(back, spot.onset, spot.onset, (spot.voice,))


RECIPES = [
    Recipe(
        "all-consonant",
        "A second, seventh or ninth is struck note against note.",
        FUX,
        struck_over_bass({(1, 1), (1, 2), (6, 10), (6, 11)}, moving=False),
        ALL,
        ("dissonance-struck",),
    ),
    Recipe(
        "fourth-vs-bass",
        "A fourth is struck over the bass, note against note.",
        FUX,
        struck_over_bass({(3, 5)}, moving=False, sixth=False),
        ALL,
        ("all-consonant", "dissonance-struck"),
    ),
    Recipe(
        "six-four",
        "Fourth and sixth are struck over one bass.",
        FUX,
        struck_over_bass({(3, 5)}, moving=False, sixth=True),
        OLD,
        ("fourth-vs-bass", "all-consonant"),
    ),
    Recipe(
        "diminished-root",
        "A diminished fifth or augmented fourth is struck over the bass.",
        FUX,
        struck_over_bass({(4, 6), (3, 6)}, moving=False),
        ALL,
        ("all-consonant", "dissonance-struck"),
    ),
    Recipe(
        "dissonance-struck",
        "A moving voice strikes a second, fourth, seventh or ninth on a first beat.",
        GROVE,
        struck_over_bass({(1, 1), (1, 2), (6, 10), (6, 11)}, moving=True),
        ALL,
        ("fourth-vs-bass", "all-consonant"),
    ),
    Recipe(
        "dissonance-weak",
        "A dissonance off the accent is reached by leap.",
        GROVE,
        weak_by_leap,
        ALL,
        ("dissonance-left-by-leap", "cambiata-broken"),
    ),
    Recipe("dissonance-weak", "A dissonant weak half turns back.", GROVE, turning_half, STRICT),
    Recipe(
        "dissonance-left-by-leap",
        "A dissonant half reached by step is left by leap.",
        GROVE,
        left_by_leap((-2, 2, 3, -3), {"2"}),
        ALL,
        ("cambiata-broken",),
    ),
    Recipe(
        "dissonance-left-by-leap",
        "A dissonant quarter reached by step is left by a leap of a fourth or fifth.",
        GROVE,
        left_by_leap((3, -3, 4, -4), {"3", "5"}),
        ALL,
        ("cambiata-broken",),
    ),
    Recipe(
        "cambiata-broken",
        "A cambiata whose third note is not followed by a step up.",
        GROVE,
        broken_cambiata,
        ALL,
        ("dissonance-left-by-leap",),
    ),
    Recipe(
        "cambiata",
        "A cambiata upside down.",
        TRADE,
        upward_cambiata,
        STRICT,
        ("cambiata-broken", "dissonance-left-by-leap"),
    ),
    Recipe(
        "double-neighbour",
        "Both neighbours of a note between it and its return.",
        TRADE,
        both_neighbours,
        STRICT,
        ("dissonance-left-by-leap", "dissonance-weak"),
    ),
]
