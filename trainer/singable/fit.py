"""Where a line fits a singer's compass: in another octave, which is as right as the written one, else in another key."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

FARTHEST_OCTAVES, FARTHEST_SEMITONES = 2, 6
"""Half an octave either way reaches every key."""


@dataclass(frozen=True, slots=True)
class Fit:
    """The line so many octaves and semitones away; *outside* semitones of it still lie beyond the compass."""

    octaves: int
    semitones: int
    outside: int


def fit(line: tuple[int, int], compass: tuple[int, int]) -> Fit:
    """The nearest place for a line, lowest and highest MIDI number, in a compass: least outside, then written key, then octave."""
    found = (
        Fit(octaves, semitones, outside(line, compass, 12 * octaves + semitones))
        for octaves, semitones in product(
            range(-FARTHEST_OCTAVES, FARTHEST_OCTAVES + 1), range(-FARTHEST_SEMITONES, FARTHEST_SEMITONES + 1)
        )
    )
    return min(found, key=lambda one: (one.outside, abs(one.semitones), abs(one.octaves), one.semitones, one.octaves))


def outside(line: tuple[int, int], compass: tuple[int, int], moved: int = 0) -> int:
    """By how many semitones a line lies beyond a compass, both ends added up."""
    return max(0, compass[0] - line[0] - moved) + max(0, line[1] + moved - compass[1])
