"""Round after round in a loop: when a take is clean, and when to stop or to try otherwise. The limits are our own."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from trainer.practice.take import Performance

CLEAN_ENOUGH, POOR_ENOUGH = 3, 5
SLOWER = Fraction(4, 5)


def is_clean(performance: Performance) -> bool:
    """Whether nine of ten notes were judged, nine of ten of those held, and none was pulled."""
    for take in performance.takes:
        counts = take.result()
        if counts["judged"] * 10 < counts["notes"] * 9 or counts["held"] * 10 < counts["judged"] * 9:
            return False
        if counts.get("pulled", 0) or take.status != "heard":
            return False
    return True


def advice(performances: Sequence[Performance], qpm: Fraction) -> str:
    """What ends the loop, in words; "" while it goes on.

    Three clean takes running end it, and five poor ones: a fault is not to be learnt by repeating it (common practice, no source).
    """
    clean = [is_clean(performance) for performance in performances]
    if len(clean) >= CLEAN_ENOUGH and all(clean[-CLEAN_ENOUGH:]):
        return "Three clean takes running: now sing it in its place."
    if len(clean) >= POOR_ENOUGH and not any(clean[-POOR_ENOUGH:]):
        return f"Five takes with the same trouble: try {round(qpm * SLOWER)} quarters a minute, or your line alone."
    return ""
