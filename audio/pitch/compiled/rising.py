"""Twin of ``_rising.rises``. A helper of ``voiced``, not a step."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from audio.compiled.sums import ROW_SUM, row_sum
from audio.pitch._rising import AHEAD_FRAMES, ALIKE, BEGUN, EARLY_FRAMES, HALF_ALIKE, LEAST, RISE, SWELLS

LATE_FRAMES = AHEAD_FRAMES - EARLY_FRAMES


def rises(sound: Any, at: int, period: float) -> bool:
    """See the twin."""
    products = np.empty((3, AHEAD_FRAMES))
    for k in range(AHEAD_FRAMES):
        products[0, k] = sound[at + k] * sound[at + k]
        products[1, k] = sound[at - AHEAD_FRAMES + k] * sound[at - AHEAD_FRAMES + k]
    first = row_sum(products[0], EARLY_FRAMES)
    rest = row_sum(products[0, EARLY_FRAMES:], LATE_FRAMES)
    louder = first + rest > RISE * row_sum(products[1], AHEAD_FRAMES)
    share = first * LATE_FRAMES / (EARLY_FRAMES * rest + LEAST)
    if share < BEGUN or not (louder or share <= SWELLS):
        return False
    if _likeness(products, sound, at, period) < ALIKE:
        return False
    return bool(_likeness(products, sound, at, 0.5 * period) <= HALF_ALIKE)


def _likeness(products: Any, sound: Any, at: int, lag: float) -> float:
    whole = int(lag)
    count = AHEAD_FRAMES - whole - 1
    part = lag - whole
    for k in range(count):
        later = sound[at + whole + k]
        there = later + part * (sound[at + whole + 1 + k] - later)
        products[0, k] = sound[at + k] * there
        products[1, k] = sound[at + k] * sound[at + k]
        products[2, k] = there * there
    power = row_sum(products[1], count) * row_sum(products[2], count)
    return float(row_sum(products[0], count) / math.sqrt(power + LEAST))


RISES = (*ROW_SUM, _likeness, rises)
