"""Twin of ``audio.resample._resampled``."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from audio.compiled.sums import ROW_SUM, row_sum
from audio.units import RATE_HZ

SIGNATURE = "void(float64[::1], int64, float64[:,::1], int64, int64, int64, float32[::1])"
LANES = 8  # of a sum, see audio.compiled.sums


def resampled(held: Any, held_from: int, weights: Any, half: int, rate_hz: int, first_out: int, out: Any) -> None:
    """See the twin."""
    taps = weights.shape[1]
    begin = first_out * rate_hz // RATE_HZ + 1 - half - held_from
    if rate_hz == RATE_HZ:
        for frame in range(len(out)):
            out[frame] = held[begin - 1 + frame]
    elif len(weights) == 1 and taps % LANES == 0 and taps <= 128:
        _tap_by_tap(held[begin:], weights[0], rate_hz // RATE_HZ, out)
    else:
        step = math.gcd(rate_hz, RATE_HZ)
        products = np.empty(taps)
        for frame in range(len(out)):
            at = (first_out + frame) * rate_hz
            first = at // RATE_HZ + 1 - half - held_from
            window, weight = held[first : first + taps], weights[at % RATE_HZ // step]
            for tap in range(taps):
                products[tap] = window[tap] * weight[tap]
            out[frame] = row_sum(products, taps)


def _tap_by_tap(held: Any, weight: Any, step: int, out: Any) -> None:
    """The same sums of all frames at once, from each *step*-th of the input laid together, which is many times as fast."""
    apart = np.empty((step, len(out) + len(weight) // step))
    for phase in range(step):
        own, last = apart[phase], (len(held) - 1 - phase) // step + 1
        for frame in range(min(len(own), last)):
            own[frame] = held[step * frame + phase]
    lanes = np.zeros((LANES, len(out)))
    for tap in range(len(weight)):
        lane, sound, by = lanes[tap % LANES], apart[tap % step][tap // step :], weight[tap]
        for frame in range(len(out)):
            lane[frame] += sound[frame] * by
    for frame in range(len(out)):
        low = (lanes[0, frame] + lanes[1, frame]) + (lanes[2, frame] + lanes[3, frame])
        out[frame] = low + ((lanes[4, frame] + lanes[5, frame]) + (lanes[6, frame] + lanes[7, frame]))


HELPERS = (*ROW_SUM, _tap_by_tap)
