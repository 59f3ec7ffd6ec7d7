"""Twin of ``_drift._late``."""

from __future__ import annotations

from typing import Any

import numpy as np

from audio.canceller._drift import FEWEST_BINS, MOST_FRAMES, OMEGA, OMEGA_SQUARE
from audio.canceller.compiled.heard import loudest, powers
from audio.compiled.sums import ROW_SUM, row_sum

SIGNATURE = "float64(complex64[::1], complex64[::1], complex64[::1])"
HELPERS = (*ROW_SUM, powers, loudest)
OF_LOUDEST, HALF, LEAST = np.float32(1e-3), np.float32(0.5), np.float32(1e-12)
OF_LOUD, TINY = np.float32(1e-2), np.float32(1e-20)
ONE, ZERO = np.float32(1.0), np.float32(0.0)


def late(left: Any, taken: Any, across: Any) -> float:
    """See the twin."""
    bins = len(left)
    loud, rest = np.empty(bins, dtype=np.float32), np.empty(bins, dtype=np.float32)
    powers(taken, loud)
    powers(left, rest)
    least = OF_LOUDEST * loudest(loud)
    slopes, holds = np.empty(bins), np.empty(bins)
    count = 0
    for k in range(bins):
        tells = (loud[k] > least) & (rest[k] < HALF * loud[k]) & (loud[k] > LEAST)
        count += tells
        weight = (ONE if tells else ZERO) / (rest[k] + OF_LOUD * loud[k] + TINY)
        slopes[k] = OMEGA[k] * weight * across[k].imag
        holds[k] = OMEGA_SQUARE[k] * weight * loud[k]
    if count < FEWEST_BINS:
        return np.inf
    return min(max(-row_sum(slopes, bins) / row_sum(holds, bins), -MOST_FRAMES), MOST_FRAMES)
