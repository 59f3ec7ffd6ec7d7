"""How many words may share a bar of the drill text evenly."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from trainer.score.time import Bar, Meter

SHORTEST_QUARTERS = Fraction(1, 8)
"""A thirty-second note; shorter plain shares are not written in one bar."""


def share_counts(bar: Bar) -> tuple[int, ...]:
    """Numbers of words that give each a plain note value, smallest first.

    One word fills any bar. Otherwise each gets a whole note or a half, quarter, ... of it; in 6/8, 9/8, 12/8 and their like
    the dotted beat is a plain value too.
    """
    return _counts(bar.length_quarters, bar.meter)


@lru_cache(maxsize=256)  # a file has few kinds of bar and many bars
def _counts(length: Fraction, meter: Meter) -> tuple[int, ...]:
    counts = {1}
    value = Fraction(8)
    while value >= SHORTEST_QUARTERS:
        if (length / value).denominator == 1:
            counts.add(int(length / value))
        value /= 2
    if meter.beats % 3 == 0 and meter.beats > 3:
        dotted = length / (3 * meter.beat_quarters)
        if dotted.denominator == 1:
            counts.add(int(dotted))
    return tuple(sorted(count for count in counts if count >= 1))
