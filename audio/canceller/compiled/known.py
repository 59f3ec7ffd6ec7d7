"""Twin of ``_leftover._known``."""

from __future__ import annotations

from typing import Any

import numpy as np

from audio.canceller._leftover import (
    BINS_A_FILTER_BIN,
    FREE,
    KNOWN_BETTER,
    LOUDER_THAN_NOTHING,
    MOST_UNDER,
    UNDER,
)

SIGNATURE = (
    "void(float32[::1], float32[::1], boolean[::1], float32[::1], float64, float64,"
    " float32[::1], float32[::1], float32[::1], float32[::1])"
)
HELPERS = ()
LEAST, SUNG, BELOW, MOST_BELOW = (np.float32(x) for x in (LOUDER_THAN_NOTHING, FREE, UNDER, MOST_UNDER))
ONE, ZERO = np.float32(1.0), np.float32(0.0)


def known(
    left: Any,
    ours: Any,
    sounds: Any,
    noise: Any,
    share: float,
    least: float,
    by_bin: Any,
    expected: Any,
    under: Any,
    free: Any,
) -> None:
    """See the twin."""
    bins = len(left)
    everywhere, fewest = np.float32(share), np.float32(least)
    sung = np.empty(bins, dtype=np.bool_)
    for k in range(bins):
        ratio, before = left[k] / max(ours[k], LEAST), by_bin[k]
        better = before + KNOWN_BETTER * (ratio - before)
        by_bin[k] = max(better if sounds[k] & (ratio < before) else before, fewest)
        expected[k] = max(everywhere, by_bin[k]) * ours[k]
        under[k] = min(BELOW * expected[k], MOST_BELOW * ours[k])
        beside = noise[k] if noise[k] < np.inf else left[k]
        sung[k] = left[k] > SUNG * (expected[k] + beside)
    before_sung = False
    group_sung = False
    groups = bins // BINS_A_FILTER_BIN
    for group in range(groups):
        group_sung = False
        for k in range(group * BINS_A_FILTER_BIN, (group + 1) * BINS_A_FILTER_BIN):
            group_sung |= sung[k]
        free[group] = ZERO if group_sung or before_sung else ONE
        before_sung = group_sung
    for k in range(groups, len(free)):
        free[k] = ZERO if group_sung else ONE
