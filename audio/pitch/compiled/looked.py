"""Twin of ``_refine._looked``."""

from __future__ import annotations

from typing import Any

import numpy as np

from audio.compiled.sums import short_sum
from audio.pitch._refine import APART_CENTS, CLEAR_SHARE, DRY, FARTHEST_AGAIN_CENTS, LEAN, WET
from audio.pitch.compiled.moved import HELPERS as SHIFT_HELPERS
from audio.pitch.compiled.moved import shift

SIGNATURE = (
    "int64(float64[:,::1], int64[::1], int64, float64[::1], float64[::1], float64[::1], float64[::1], float64[::1],"
    " float64[::1], int64[::1])"
)
IN_SQUARE = 0.375**2


def looked(
    bins: Any,
    rows: Any,
    periods: int,
    power: Any,
    rough: Any,
    keeps: Any,
    cents: Any,
    sigma_cents: Any,
    residual: Any,
    clear: Any,
) -> int:
    """See the twin."""
    count = 0
    for row in range(len(rows)):
        hop = rows[row]
        moved, sigma_cents[hop] = shift(bins[row], periods, 0.0)
        cents[hop] += min(max(moved, -FARTHEST_AGAIN_CENTS), FARTHEST_AGAIN_CENTS)
        residual[hop] = _residual(bins[row], power[hop], periods)
        if residual[hop] < CLEAR_SHARE * power[hop]:
            clear[count] = hop
            count += 1
        else:
            wet = min(max((keeps[hop] - DRY) / (WET - DRY), 0.0), 1.0)
            apart = rough[hop] - cents[hop]
            near = max(1.0 - (apart / APART_CENTS) * (apart / APART_CENTS), 0.0)
            cents[hop] += LEAN * wet * near * apart
    return count


def _residual(b: Any, power: float, periods: int) -> float:
    points = len(b) - 2
    teeth = np.empty(points // 2)
    count = 0
    for k in range(periods, points // 2 - 1, periods):
        real = _under_square(b, 2 * k, points)
        imag = _under_square(b, 2 * k + 1, points)
        teeth[count] = real * real + imag * imag
        count += 1
    explained = 2.0 * short_sum(teeth, count) / IN_SQUARE
    chance = 2.0 * count * (35.0 / 128.0) / (points * IN_SQUARE)
    return min(max((power - explained) / (1.0 - chance), 0.0), power)


def _under_square(b: Any, k: int, points: int) -> float:
    near = b[k - 2] / points + b[k + 2] / points
    far = b[k - 4] / points + b[k + 4] / points
    tooth: float = 0.375 * (b[k] / points) - 0.25 * near + 0.0625 * far
    return tooth


HELPERS = (*SHIFT_HELPERS, _under_square, _residual)
