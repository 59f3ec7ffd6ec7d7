"""Twin of ``_leftover._low``."""

from __future__ import annotations

from typing import Any

import numpy as np

from audio.canceller._leftover import FEWEST_BINS, OF_QUANTILE, QUANTILE, VOICE_BINS

SIGNATURE = "float64(float64, float32[::1], float32[::1], boolean[::1])"


def low(tooth: float, left: Any, ours: Any, tells: Any) -> float:
    """See the twin."""
    ratios = np.empty(len(left), dtype=np.float32)
    count = 0
    for k in range(len(left)):
        if tells[k] and abs(k - np.rint(k / tooth) * tooth) > VOICE_BINS:
            ratios[count] = left[k] / ours[k]
            count += 1
    if count < FEWEST_BINS:
        return np.inf
    ratio: float = of_rank(ratios[:count], int(QUANTILE * count)) * OF_QUANTILE
    return ratio


def of_rank(values: Any, rank: int) -> Any:
    """What stands at *rank* among sorted *values*, which are moved about (Hoare's selection)."""
    first, last = 0, len(values) - 1
    while first < last:
        middle = values[rank]
        up, down = first, last
        while up <= down:
            while values[up] < middle:
                up += 1
            while middle < values[down]:
                down -= 1
            if up <= down:
                values[up], values[down] = values[down], values[up]
                up += 1
                down -= 1
        if down < rank:
            first = up
        if rank < up:
            last = down
    return values[rank]


HELPERS = (of_rank,)
