"""Tempi that somebody can follow; a file's others are left out, and the score says so."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from trainer.score.time import FASTEST_QPM, SLOWEST_QPM

Points = list[tuple[Fraction, Fraction]]


def followed(points: Iterable[tuple[Fraction, Fraction]]) -> tuple[Points, tuple[str, ...]]:
    """The (onset in quarters, quarters a minute) to keep, and a remark for each tempo that is not."""
    kept: Points = []
    left_out: dict[Fraction, str] = {}
    for at, qpm in points:
        if SLOWEST_QPM <= qpm <= FASTEST_QPM:
            kept.append((at, qpm))
        else:
            left_out[qpm] = f"a tempo of {float(qpm):g} quarters a minute left out"
    return kept, tuple(left_out.values())
