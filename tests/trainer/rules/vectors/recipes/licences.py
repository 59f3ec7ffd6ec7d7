"""Lawful places that look like faults: leaps that turn, outlines that go on, chains short enough, unisons, sevenths and closes."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from planting import Ground, Grow, Plant, Spot, put
from verticals import agrees, gap, slow, spot_at


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
