"""Twin of ``_refine._polish_cut``, and the cubic cut of ``look``."""

from __future__ import annotations

import math
from typing import Any

from audio.units import RATE_HZ

SIGNATURE = "void(float64[::1], int64[::1], float64[::1], int64[::1], int64, float64[:,::1])"


def polish_cut(sound: Any, centres: Any, f0_hz: Any, rows: Any, periods: int, frames: Any) -> None:
    """See the twin."""
    for row in range(len(rows)):
        hop = rows[row]
        cubic_cut(sound, centres[hop], f0_hz[hop], periods, frames[row])


def cubic_cut(sound: Any, centre: int, f0_hz: float, periods: int, frame: Any) -> None:
    """One frame of ``_periods.cubic_frames``."""
    points = len(frame)
    step = periods * RATE_HZ / (f0_hz * points)
    for point in range(points):
        offset = step * (point - points // 2)
        whole = math.floor(offset)
        part = offset - whole
        at = int(whole) + centre
        before, here, after, later = sound[at - 1], sound[at], sound[at + 1], sound[at + 2]
        cubic = (later - before) / 6.0 + 0.5 * (here - after)
        square = 0.5 * (before + after) - here
        line = after - here - square - cubic
        frame[point] = here + part * (line + part * (square + part * cubic))


HELPERS = (cubic_cut,)
