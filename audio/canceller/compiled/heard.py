"""Twin of ``_leftover._heard``."""

from __future__ import annotations

from typing import Any

import numpy as np

from audio.canceller._leftover import (
    EVIDENCE,
    FEWEST_BINS,
    LOUD,
    LOUDER_THAN_NOTHING,
    RING,
    SPREAD,
    SPREAD_BINS,
    STILL,
    TEETH,
)

SIGNATURE = (
    "boolean(complex64[::1], float32[::1], float32[::1], float64, float32[::1], float32[::1],"
    " float32[::1], float32[::1], boolean[::1], boolean[::1], float32[:,::1])"
)
WIDTH = 2 * SPREAD_BINS + 1
HALF, ZERO, SHARE, OF_LOUDEST, OF_NOW = (np.float32(x) for x in (0.5, 0.0, SPREAD, LOUD, STILL))
LEAST, OF_LEFT, RISE = (np.float32(x) for x in (LOUDER_THAN_NOTHING, 1e-2, 1.02))


def heard(
    left_bins: Any,
    now: Any,
    lasting: Any,
    share: float,
    held: Any,
    noise: Any,
    left: Any,
    ours: Any,
    sounds: Any,
    tells: Any,
    teeth: Any,
) -> bool:
    """See the twin."""
    bins = len(now)
    powers(left_bins, left)
    for k in range(bins):
        held[k] = max(max(HALF * now[k], lasting[k]), RING * held[k])
    sums = np.zeros(bins + WIDTH)
    total = 0.0
    for k in range(bins):
        total += held[k]
        sums[SPREAD_BINS + 1 + k] = total
    for k in range(SPREAD_BINS + 1 + bins, bins + WIDTH):
        sums[k] = total
    for k in range(bins):
        ours[k] = held[k] + SHARE * np.float32((sums[k + WIDTH] - sums[k]) / WIDTH)
    least = OF_LOUDEST * loudest(ours)
    known = np.float32(share)
    count = 0
    for k in range(bins):
        risen = min(left[k], noise[k] * RISE)
        noise[k] = risen if ours[k] < OF_LEFT * left[k] else noise[k]
        sounds[k] = (ours[k] > least) & (now[k] > OF_NOW * ours[k]) & (ours[k] > LEAST)
        under = noise[k] if noise[k] < np.inf else ZERO
        tells[k] = EVIDENCE[k] & sounds[k] & (known * ours[k] > under)
        count += tells[k]
    if count < FEWEST_BINS:
        return False
    height, peaks = np.empty(bins, dtype=np.float32), np.zeros(bins + 1, dtype=np.float32)
    for k in range(bins):
        height[k] = np.sqrt(left[k])
    for k in range(bins):
        peaks[k] = max(height[k], max(height[max(k - 1, 0)], height[min(k + 1, bins - 1)]))
    for row in range(len(TEETH)):
        for tooth in range(TEETH.shape[1]):
            teeth[row, tooth] = peaks[TEETH[row, tooth]]
    return True


def powers(bins: Any, out: Any) -> None:
    """Power of each bin."""
    parts = bins.view(np.float32)
    for k in range(len(out)):
        out[k] = parts[2 * k] * parts[2 * k] + parts[2 * k + 1] * parts[2 * k + 1]


def loudest(values: Any) -> Any:
    """The largest; no number where one is none."""
    top = values[0]
    for k in range(1, len(values)):
        if values[k] > top or values[k] != values[k]:
            top = values[k]
    return top


HELPERS = (powers, loudest)
