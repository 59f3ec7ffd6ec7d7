"""Twin of ``_refine._moved``, and the shift that ``looked`` needs too."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from audio.compiled.sums import SHORT_SUM, short_sum
from audio.pitch._periods import MOST_HARMONICS
from audio.pitch._refine import (
    CENTS,
    CERTAIN_SNR,
    LARGEST_SNR,
    LEAST_HARMONIC,
    LONE_SNR,
    LONE_SNR_BESIDE_PURE,
    MODEL_SNR,
    MOST_BESIDE,
    NEARLY_PURE_REST,
    PURE_REST,
)

SIGNATURE = "void(float64[:,::1], int64[::1], int64, float64, float64, float64[::1])"
LONE = LONE_SNR**2


def moved(bins: Any, rows: Any, periods: int, trust: float, farthest: float, moved: Any) -> None:
    """See the twin."""
    for row in range(len(rows)):
        by, _ = shift(bins[row], periods, trust)
        moved[rows[row]] = min(max(by, -farthest), farthest) / 1200.0


def shift(b: Any, periods: int, trust: float) -> tuple[float, float]:
    """One row of ``_refine._shift``."""
    harmonics = min(MOST_HARMONICS, (len(b) - 2) // (2 * periods) - 1)
    half = periods // 2
    strength = np.empty(MOST_HARMONICS)
    off_bins = np.empty(MOST_HARMONICS)
    noise = np.empty(MOST_HARMONICS)
    around = np.empty(MOST_HARMONICS)
    strongest = 0.0
    for h in range(harmonics):
        k = periods * (h + 1)
        real = 0.5 * b[2 * k] - 0.25 * (b[2 * k - 2] + b[2 * k + 2])
        imag = 0.5 * b[2 * k + 1] - 0.25 * (b[2 * k - 1] + b[2 * k + 3])
        strength[h] = real * real + imag * imag + 1e-30
        turned = (b[2 * k + 2] - b[2 * k - 2]) * real + (b[2 * k + 3] - b[2 * k - 1]) * imag
        off_bins[h] = min(max(-0.25 * turned / strength[h], -1.5), 1.5)
        noise[h] = 0.5 * (_windowed_power(b, k - half) + _windowed_power(b, k + half))
        strongest = max(strongest, strength[h])
    rest = (short_sum(strength, harmonics) - strongest) / strongest
    smooth_row(noise, harmonics, around)
    snr = noise  # no longer needed
    for h in range(harmonics):
        snr[h] = strength[h] / (around[h] + LEAST_HARMONIC * strongest)
    beside_pure = LONE_SNR_BESIDE_PURE * PURE_REST / (PURE_REST + rest)
    lone = LONE + beside_pure * beside_pure
    pure = NEARLY_PURE_REST / (NEARLY_PURE_REST + rest)
    pure *= pure
    largest = LARGEST_SNR * (1.0 + trust * (pure * pure))
    pulls, holds, noises = strength, around, off_bins
    for h in range(harmonics):
        evidence = snr[h] * snr[h]
        if h:
            beside = snr[h - 1] if h == harmonics - 1 else max(snr[h - 1], snr[h + 1])
            evidence = snr[h] * min(beside, MOST_BESIDE * snr[h])
        certain = snr[h] / (snr[h] + CERTAIN_SNR)
        weight = snr[h] * (certain * certain) / (1.0 + snr[h] / largest) * evidence / (evidence + lone)
        numbered = weight * (h + 1)
        pulls[h] = numbered * off_bins[h]
        holds[h] = weight * ((h + 1) * (h + 1))
        noises[h] = numbered * numbered / snr[h]
    hold = short_sum(holds, harmonics)
    to_cents = CENTS / periods
    noise_alone = short_sum(noises, harmonics) / (hold * hold)
    variance = min(1.0 / hold, 4.0 * (noise_alone + 1.0 / (MODEL_SNR * hold)))
    return short_sum(pulls, harmonics) / hold * to_cents, to_cents * math.sqrt(variance / 3.0)


def _windowed_power(b: Any, k: int) -> float:
    real = 0.5 * b[2 * k] - 0.25 * (b[2 * k - 2] + b[2 * k + 2])
    imag = 0.5 * b[2 * k + 1] - 0.25 * (b[2 * k - 1] + b[2 * k + 3])
    power: float = real * real + imag * imag + 1e-30
    return power


def smooth_row(values: Any, count: int, out: Any) -> None:
    """One row of ``_periods.smooth``."""
    last = count - 1
    for at in range(count):
        low, lower, high, higher = abs(at - 1), abs(at - 2), at + 1, at + 2
        high = min(high, 2 * last - high)
        higher = min(higher, 2 * last - higher)
        out[at] = (values[lower] + values[low] + values[at] + values[high] + values[higher]) / 5.0


HELPERS = (*SHORT_SUM, _windowed_power, smooth_row, shift)
