"""Twin of ``_filter._stepped``."""

from __future__ import annotations

from typing import Any

import numpy as np

from audio.canceller._filter import NEAR_KEPT, TINY

SIGNATURE = (
    "boolean(complex64[::1], Array(float32, 1, 'C', readonly=True), float32[::1], complex64[:,::1], float32[:,::1],"
    " float32[::1], float32[:,::1], complex64[:,::1])"
)
HELPERS = ()
KEPT, NEW, LEAST = np.float32(NEAR_KEPT), np.float32(1 - NEAR_KEPT), np.float32(TINY)
HALF, TWO = np.float32(0.5), np.float32(2.0)


def stepped(
    spectrum: Any, free: Any, expected: Any, conjugates: Any, doubt: Any, near: Any, step: Any, moves: Any
) -> bool:
    """See the twin."""
    partitions, bins = doubt.shape
    gain = np.empty(bins, dtype=np.float32)
    some = False
    for k in range(bins):
        power = spectrum[k].real * spectrum[k].real + spectrum[k].imag * spectrum[k].imag
        near[k] = KEPT * near[k] + NEW * power
        loudest = max(near[k], HALF * power)
        gain[k] = free[k] / (expected[k] + TWO * loudest + LEAST)
        some |= free[k] != 0
    if not some:
        return False
    for p in range(partitions):
        doubted, steps, mirrored, moved = doubt[p], step[p], conjugates[p].view(np.float32), moves[p].view(np.float32)
        for k in range(bins):
            by = doubted[k] * gain[k]
            steps[k] = by
            moved[2 * k] = by * mirrored[2 * k]
            moved[2 * k + 1] = by * mirrored[2 * k + 1]
    return True
