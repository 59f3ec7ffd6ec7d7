"""Twin of ``_periods._kinds``."""

from __future__ import annotations

from typing import Any

import numpy as np

from audio.pitch._periods import BETWEEN, HIGH_HZ, LEAST_POINTS_A_PERIOD, PERIODS, POINTS
from audio.units import RATE_HZ

SIGNATURE = "int64(float64[::1], float64[::1], float64, float64, float64, int64[::1], int64[:,::1])"
HELPERS = ()


def kinds(f0_hz: Any, seconds: Any, share: float, low: float, high: float, rows: Any, groups: Any) -> int:
    """See the twin."""
    hops = len(f0_hz)
    kind = np.empty(hops, dtype=np.int64)
    for hop in range(hops):
        wanted = f0_hz[hop] * (share * seconds[hop])
        rank = 0
        while rank < len(BETWEEN) and BETWEEN[rank] < wanted:
            rank += 1
        frames = PERIODS[rank] * RATE_HZ / f0_hz[hop]
        points = max(frames / (high if f0_hz[hop] > HIGH_HZ else low), PERIODS[rank] * LEAST_POINTS_A_PERIOD)
        size = 0
        while size < len(POINTS) - 1 and POINTS[size] < points:
            size += 1
        kind[hop] = rank * len(POINTS) + size
    count = 0
    end = 0
    for each in range(len(PERIODS) * len(POINTS)):
        before = end
        for hop in range(hops):
            if kind[hop] == each:
                rows[end] = hop
                end += 1
        if end > before:
            groups[count, 0] = end
            groups[count, 1] = PERIODS[each // len(POINTS)]
            groups[count, 2] = POINTS[each % len(POINTS)]
            count += 1
    return count
