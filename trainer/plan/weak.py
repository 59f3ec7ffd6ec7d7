"""What this singer finds hard, estimated from the log: intervals, degrees and clashes, named as ``compose --for`` names them.

The share of failures is drawn towards the singer's own mean while little is known: as if a spot had been met ``PRIOR_TRIES`` times at
the usual rate (the mean of a Beta distribution; the weight is our own). A spot is weak when its share lies clearly above that mean.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trainer.log.outcome import Tried

PRIOR_TRIES = 4
LEAST_TRIES = 3
CLEARLY = 1.5
"""A spot is weak from so many times the usual rate on."""

MOST_SPOTS = 3
MOST_WEIGHT = 9


@dataclass(frozen=True, slots=True)
class WeakSpot:
    """One interval, degree or clash, how often it was met and missed, and the rate at which it is believed to fail."""

    spot: str
    tried: int
    failed: int
    rate: float


def weak_spots(tried: Sequence[Tried]) -> list[WeakSpot]:
    """Everything met, the weakest first."""
    usual = usual_rate(tried)
    found = [
        WeakSpot(one.spot, one.tried, one.failed, (one.failed + PRIOR_TRIES * usual) / (one.tried + PRIOR_TRIES))
        for one in tried
    ]
    return sorted(found, key=lambda one: (-one.rate, one.spot))


def usual_rate(tried: Sequence[Tried]) -> float:
    """The share of all tries that failed."""
    return sum(one.failed for one in tried) / max(1, sum(one.tried for one in tried))


def aim(tried: Sequence[Tried]) -> str:
    """The weakest spots as words for ``compose --for``, such as "sixths up x3, 7-6 clashes x2"; "" where none is clearly weak."""
    usual = usual_rate(tried)
    weak = [
        one for one in weak_spots(tried) if one.tried >= LEAST_TRIES and one.failed > 0 and one.rate >= CLEARLY * usual
    ]
    return ", ".join(f"{one.spot} x{_weight(one.rate, usual)}" for one in weak[:MOST_SPOTS])


def _weight(rate: float, usual: float) -> int:
    return max(1, min(MOST_WEIGHT, round(rate / max(usual, 1e-9))))
