"""Twin of ``_refine._polish_cut``, and the cubic cut of ``look``."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from audio.units import RATE_HZ

SIGNATURE = "void(float64[::1], int64[::1], float64[::1], int64[::1], int64, float64[:,::1])"
ONE, TWO, THREE = np.uintp(1), np.uintp(2), np.uintp(3)


def polish_cut(sound: Any, centres: Any, f0_hz: Any, rows: Any, periods: int, frames: Any) -> None:
    """See the twin."""
    for row in range(len(rows)):
        hop = rows[row]
        cubic_cut(sound, centres[hop], f0_hz[hop], periods, frames[row])


def cubic_cut(sound: Any, centre: int, f0_hz: float, periods: int, frame: Any) -> None:
    """One frame of ``_periods.cubic_frames``."""
    points = len(frame)
    step = periods * RATE_HZ / (f0_hz * points)
    at, part = np.empty(points, dtype=np.int32), np.empty(points)
    first = centre + math.floor(step * (0 - points // 2)) - 1
    heard = sound[first:]  # no place in it is below 0, so none has to be looked at for that
    for point in range(points):
        offset = step * (point - points // 2)
        whole = np.floor(offset)
        part[point] = offset - whole
        at[point] = np.int32(whole) + np.int32(centre - first - 1)
    for point in range(points):
        k = np.uintp(at[point])
        before, here, after, later = heard[k], heard[k + ONE], heard[k + TWO], heard[k + THREE]
        cubic = (later - before) / 6.0 + 0.5 * (here - after)
        square = 0.5 * (before + after) - here
        line = after - here - square - cubic
        frame[point] = here + part[point] * (line + part[point] * (square + part[point] * cubic))


HELPERS = (cubic_cut,)
