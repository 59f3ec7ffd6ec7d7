"""Keyed events of a MIDI file as voices: pressed and released keys paired, set on a grid, one note at a time.

Conventions: everything here is in quarters as Fractions. The grid is the coarsest on which every onset of the file lies; where a
human hand moved the onsets off any grid it is the sixteenth. Releases are free: programs shorten notes for a lighter touch.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from trainer.formats._smf import KeyEvent

GRIDS = tuple(Fraction(1, parts) for parts in (1, 2, 3, 4, 6, 8, 12, 16, 24, 32, 48))
"""Steps of a quarter, coarse first: down to sixty-fourths and triplets of thirty-seconds."""

FINEST_EXACT_PARTS = 48
"""Onsets that all lie on one grid down to this are taken as written, quintuplets and septuplets too."""

ON_GRID_QUARTERS = Fraction(1, 96)
"""5 ticks of 480, as notation programs round; 10 ms at sixty."""

ON_GRID_SHARE = Fraction(1, 8)
"""And never more than this much of a step: any onset lies within half a step of some grid line."""

LOOSE_GRID = Fraction(1, 4)

LARGEST_OVERLAP_QUARTERS = Fraction(1, 4)
"""A legato overlap up to this, and up to half of the earlier note, is trimmed; more is two voices."""


@dataclass(frozen=True, slots=True)
class Pressed:
    """A key held from one place to another, in quarters."""

    onset: Fraction
    end: Fraction
    midi: int


class Overlap(Exception):
    """Two keys of one voice at one time."""

    def __init__(self, first: Pressed, second: Pressed) -> None:
        super().__init__(first, second)
        self.first = first
        self.second = second


def pressed_keys(events: Iterable[KeyEvent], *, ticks_a_quarter: int, end_ticks: int) -> list[Pressed]:
    """Keys with their releases, by onset. A key pressed again without release ends there; one never released at *end_ticks*."""
    down: dict[int, int] = {}
    found = []
    for event in events:
        began = down.pop(event.midi, None)
        if began is not None and event.ticks > began:
            found.append((began, event.ticks, event.midi))
        if event.velocity:
            down[event.midi] = event.ticks
    found += [(began, end_ticks, midi) for midi, began in down.items() if end_ticks > began]
    return [
        Pressed(Fraction(began, ticks_a_quarter), Fraction(end, ticks_a_quarter), midi)
        for began, end, midi in sorted(found)
    ]


def fitting_grid(onsets: Iterable[Fraction]) -> tuple[Fraction, Fraction]:
    """The grid for these onsets and how far the worst of them lies off it, both in quarters."""
    places = set(onsets)
    exact = math.lcm(*(at.denominator for at in places))
    if exact <= FINEST_EXACT_PARTS:
        return Fraction(1, exact), Fraction(0)
    for grid in GRIDS:
        worst = max((abs(at - on_grid(at, grid)) for at in places), default=Fraction(0))
        if worst <= min(ON_GRID_QUARTERS, grid * ON_GRID_SHARE):
            return grid, worst
    return LOOSE_GRID, max(abs(at - on_grid(at, LOOSE_GRID)) for at in places)


def on_grid(at: Fraction, grid: Fraction) -> Fraction:
    """The nearest multiple of *grid*."""
    return round(at / grid) * grid


def one_voice(keys: Sequence[Pressed], grid: Fraction) -> list[Pressed]:
    """The keys set on *grid*, one at a time. Raises Overlap where two truly sound together."""
    placed: list[Pressed] = []
    for index, key in enumerate(keys):
        onset = on_grid(key.onset, grid)
        if placed and onset <= placed[-1].onset:
            raise Overlap(keys[index - 1], key)
        following = keys[index + 1] if index + 1 < len(keys) else None
        end = _end(key, onset, on_grid(following.onset, grid) if following else None, grid)
        if following and end > on_grid(following.onset, grid):
            over = key.end - following.onset
            if over > min(LARGEST_OVERLAP_QUARTERS, (key.end - key.onset) / 2):
                raise Overlap(key, following)
            end = on_grid(following.onset, grid)
            if end <= onset:
                raise Overlap(key, following)
        placed.append(Pressed(onset, end, key.midi))
    return placed


def _end(key: Pressed, onset: Fraction, following: Fraction | None, grid: Fraction) -> Fraction:
    """Where a note was meant to stop: exactly as written where that is a plain place, else touched up."""
    for exact in (grid, *GRIDS[:4]):
        if abs(key.end - on_grid(key.end, exact)) * 480 <= Fraction(1) and on_grid(key.end, exact) > onset:
            return on_grid(key.end, exact)
    # a lighter touch leaves up to a quarter of the way to the next note silent
    if following is not None and 0 <= following - key.end <= (following - onset) / 4:
        return following
    length = key.end - onset
    for value in (Fraction(4), Fraction(3), Fraction(2), Fraction(1), Fraction(1, 2), Fraction(1, 4), grid):
        rounded = on_grid(key.end, value)
        if rounded > onset and abs(rounded - key.end) <= length / 8:
            return rounded
    return max(on_grid(key.end, grid), onset + grid)
