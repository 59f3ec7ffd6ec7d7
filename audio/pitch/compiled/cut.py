"""Twin of ``_refine._cut``."""

from __future__ import annotations

import math
from typing import Any

from audio.units import RATE_HZ

SIGNATURE = "void(float64[::1], int64[::1], float64[::1], int64[::1], int64, float64[:,::1])"
HELPERS = ()


def cut(sound: Any, centres: Any, f0_hz: Any, rows: Any, periods: int, frames: Any) -> None:
    """See the twin."""
    points = frames.shape[1]
    for row in range(len(rows)):
        hop = rows[row]
        step = periods * RATE_HZ / (f0_hz[hop] * points)
        for point in range(points):
            offset = step * (point - points // 2)
            whole = math.floor(offset)
            at = int(whole) + centres[hop]
            here = sound[at]
            frames[row, point] = here + (offset - whole) * (sound[at + 1] - here)
