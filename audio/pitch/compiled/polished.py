"""Twin of ``_refine._polished``."""

from __future__ import annotations

from typing import Any

import numpy as np

from audio.compiled.sums import SHORT_SUM, short_sum
from audio.pitch._periods import MOST_HARMONICS
from audio.pitch._refine import LARGEST_POLISH_CENTS
from audio.pitch._steady import CENTS_A_TURN, LEAK, SHRINK_SNR
from audio.pitch.compiled.moved import smooth_row

SIGNATURE = "void(float64[:,::1], int64[::1], float64[:,::1], float64, float64[::1], float64[::1])"
HELPERS = (*SHORT_SUM, smooth_row)


def polished(bins: Any, rows: Any, shapes: Any, spread: float, limits: Any, cents: Any) -> None:
    """See the twin."""
    periods = shapes.shape[1]
    harmonics = min(MOST_HARMONICS, bins.shape[1] // 2 - 2)
    told = np.empty((4, 2 * MOST_HARMONICS))  # mean, turn and two bends, real and imaginary parts one beside the other
    whole = np.empty(MOST_HARMONICS)
    noise = np.empty(MOST_HARMONICS)
    weight = np.empty(MOST_HARMONICS)
    terms = np.empty((5, MOST_HARMONICS))
    for row in range(len(rows)):
        for h in range(2 * harmonics):
            for shape in range(4):
                told[shape, h] = 0.0
        for h in range(harmonics):
            whole[h] = 0.0
        for period in range(periods):
            part = bins[row * periods + period]
            for shape in range(4):
                by = shapes[shape, period]
                for h in range(2 * harmonics):
                    told[shape, h] += part[h + 2] * by
            for h in range(harmonics):
                whole[h] += part[2 * h + 2] * part[2 * h + 2] + part[2 * h + 3] * part[2 * h + 3]
        mean, turn = told[0], told[1]
        strength = terms[0]
        strongest = 0.0
        for h in range(harmonics):
            strength[h] = mean[2 * h] * mean[2 * h] + mean[2 * h + 1] * mean[2 * h + 1] + 1e-30
            turned = turn[2 * h] * turn[2 * h] + turn[2 * h + 1] * turn[2 * h + 1]
            left = whole[h] - periods * strength[h] - turned / spread
            weight[h] = max(left, 0.0) / (periods - 2)
            strongest = max(strongest, strength[h])
        smooth_row(weight, harmonics, noise)
        for h in range(harmonics):
            noise[h] += LEAK * strongest
            snr = periods * strength[h] / noise[h]
            trust = snr / (snr + SHRINK_SNR)
            weight[h] = (h + 1) * (trust * trust) / noise[h]
            terms[1, h] = weight[h] * (mean[2 * h] * turn[2 * h + 1] - mean[2 * h + 1] * turn[2 * h])
            terms[2, h] = weight[h] * weight[h] * strength[h] * noise[h]
            for bend in range(2):
                bent = told[2 + bend]
                terms[3 + bend, h] = weight[h] * (mean[2 * h] * bent[2 * h + 1] - mean[2 * h + 1] * bent[2 * h])
            strength[h] = weight[h] * (h + 1) * strength[h]
        hold = short_sum(strength, harmonics)
        chance = short_sum(terms[2], harmonics)
        first, second = short_sum(terms[3], harmonics), short_sum(terms[4], harmonics)
        if first * first <= limits[0] * chance and second * second <= limits[1] * chance:
            exact = short_sum(terms[1], harmonics) / hold * (CENTS_A_TURN / spread)
            if abs(exact) <= LARGEST_POLISH_CENTS:
                cents[rows[row]] += exact
