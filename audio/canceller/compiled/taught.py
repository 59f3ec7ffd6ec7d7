"""Twin of ``_filter._taught``."""

from __future__ import annotations

from typing import Any

import numpy as np

SIGNATURE = "void(complex64[:,::1], float32[:,::1], float64, float32[:,::1], complex64[:,::1], float32[:,::1])"
HELPERS = ()
ONE, HALF = np.float32(1.0), np.float32(0.5)


def taught(moves: Any, powers: Any, wander: float, step: Any, weights: Any, doubt: Any) -> None:
    """See the twin."""
    partitions, bins = doubt.shape
    by = np.float32(wander)
    for p in range(partitions):
        doubted, steps, power = doubt[p], step[p], powers[p]
        weight, moved = weights[p].view(np.float32), moves[p].view(np.float32)
        for k in range(bins):
            real, imag = weight[2 * k] + moved[2 * k], weight[2 * k + 1] + moved[2 * k + 1]
            weight[2 * k], weight[2 * k + 1] = real, imag
            doubted[k] = doubted[k] * (ONE - steps[k] * HALF * power[k]) + (real * real + imag * imag) * by
