"""How much each kind of difficulty and danger weighs, and the fit of these weights to bars that were sung.

On paper every weight is craft knowledge. Where enough takes are kept the weights follow the singers here: a bar holds with probability
exp(-h), where the hazard h is a sum over what stands in it, each kind's points times its weight, so that the notes of a bar add up and
bars are all that needs to be known. Weights are found by expectation and maximisation: a failed bar counts h / (1 - exp(-h)) slips, shared
out among its kinds by their part of h (for Poisson counts of which only zero or more is seen; Dempster, Laird and Rubin 1977). A kind that
was hardly met keeps its weight of paper: that counts as ``PRIOR_SLIPS`` slips more where as many were expected.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

PRIOR_SLIPS = 3.0
"""Our own: a kind's weight is moved halfway by as many slips as these."""

ROUNDS, NEAR_ENOUGH = 300, 1e-4
GRAIN = 100
"""Weights are kept in whole hundredths, so that what is added up stays exact."""

LEAST, MOST = Fraction(1, 20), Fraction(20)
ANY_NOTE = "any note"
"""Slips that have nothing to do with what stands there."""

ANY_NOTE_POINTS = Fraction(1, 4)

Points = Mapping[str, Fraction]


@dataclass(frozen=True, slots=True)
class Weights:
    """By what each kind's points are multiplied; a kind that is not named stays as it is on paper.

    Parameters
    ----------
    difficulties, dangers : tuple of (kind, Fraction)
        Of ``weigh`` and of ``danger``.
    takes, failed_bars : int
        From how many takes and failed bars they come; 0 is paper.
    """

    difficulties: tuple[tuple[str, Fraction], ...] = ()
    dangers: tuple[tuple[str, Fraction], ...] = ()
    takes: int = 0
    failed_bars: int = 0


PAPER = Weights()


@dataclass(frozen=True, slots=True)
class SungBar:
    """One bar of one line over its takes: the points of each kind in it, how often it held and how often it failed."""

    points: Points
    held: int
    failed: int


def fitted(bars: Sequence[SungBar]) -> dict[str, Fraction]:
    """Each kind's weight against the mean of all, 1 where nothing is known; kinds in the order of their names."""
    kinds = sorted({kind for bar in bars for kind, points in bar.points.items() if points > 0} | {ANY_NOTE})
    place = {kind: k for k, kind in enumerate(kinds)}
    rows = [
        ([(place[kind], float(points)) for kind, points in bar.points.items() if points > 0], bar.failed)
        for bar in bars
        if bar.failed
    ]
    exposed = [0.0] * len(kinds)
    for bar in bars:
        for kind, points in bar.points.items():
            if points > 0:
                exposed[place[kind]] += float(points) * (bar.held + bar.failed)
    base = 0.01
    for _ in range(ROUNDS):
        before, base = base, sum(_slips(rows, [base] * len(kinds))) / max(sum(exposed), 1e-9)
        if abs(base - before) <= NEAR_ENOUGH * base:
            break
    weights = [1.0] * len(kinds)
    for _ in range(ROUNDS):
        slips = _slips(rows, [base * weight for weight in weights])
        before_all, weights = weights, [
            (found + PRIOR_SLIPS) / (base * met + PRIOR_SLIPS) for found, met in zip(slips, exposed, strict=True)
        ]  # fmt: skip
        if max(abs(a - b) / b for a, b in zip(weights, before_all, strict=True)) <= NEAR_ENOUGH:
            break
    return {
        kind: min(max(Fraction(round(weight * GRAIN), GRAIN), LEAST), MOST)
        for kind, weight in zip(kinds, weights, strict=True)
    }


def _slips(rows: Sequence[tuple[Sequence[tuple[int, float]], int]], hazards: Sequence[float]) -> list[float]:
    """How many slips each kind is expected to have made in the bars that failed."""
    found = [0.0] * len(hazards)
    for row, failed in rows:
        total = sum(points * hazards[k] for k, points in row)
        if total <= 0:
            continue
        share = failed / -math.expm1(-total)
        for k, points in row:
            found[k] += points * hazards[k] * share
    return found
