"""Twin of ``_refine._look``."""

from __future__ import annotations

from typing import Any

import numpy as np

from audio.compiled.sums import ROW_SUM, row_sum
from audio.pitch.compiled.polish_cut import cubic_cut

SIGNATURE = (
    "void(float64[::1], int64[::1], float64[::1], int64[::1], int64, float64[::1], float64[:,::1], float64[::1])"
)
HELPERS = (*ROW_SUM, cubic_cut)


def look(sound: Any, centres: Any, f0_hz: Any, rows: Any, periods: int, hann2: Any, frames: Any, power: Any) -> None:
    """See the twin."""
    points = frames.shape[1]
    weighed = np.empty(points)
    for row in range(len(rows)):
        hop = rows[row]
        frame = frames[row]
        cubic_cut(sound, centres[hop], f0_hz[hop], periods, frame)
        for point in range(points):
            weighed[point] = frame[point] * hann2[point]
        mean = row_sum(weighed, points)
        for point in range(points):
            frame[point] -= mean
            weighed[point] = frame[point] * frame[point] * hann2[point]
        power[hop] = row_sum(weighed, points)
