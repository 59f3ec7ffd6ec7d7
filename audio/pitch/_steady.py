"""The cents of a steady clear voice, from all its samples alike: the least-squares pitch of a harmonic tone.

A frame of whole periods is cut into its periods. In a tone whose pitch is a little off the one that it was cut for, harmonic l turns
from one period to the next by l times the same small angle; that angle is fitted to all harmonics and periods together, each harmonic
weighted by its own noise, told from what the fit leaves. In white noise this is the maximum-likelihood estimate. Its error is that of
the Cramér-Rao bound but for what is within a period, sqrt(P^2 / (P^2 - 1)) for P periods: 1.03 at four.

No window means more trust in the frame's ends, so a glide or a bend (vibrato at its turn) would pull it. Where the pitch moves by
more than noise explains, the estimate is not to be used and is said to be not steady; ``_refine`` then keeps its windowed one.

Source: one Gauss-Newton step of nonlinear least squares, Christensen & Jakobsson (2009), "Multi-Pitch Estimation", chapter 2 (from memory).
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from audio.pitch._periods import MOST_HARMONICS, smooth

Floats = NDArray[np.float64]

SHRINK_SNR = 4.0  # harmonics that may be noise alone count for less
LEAK = 1e-4  # of the strongest harmonic's power, in every other: a frame cut a cent off is not quite whole
CENTS_A_TURN = 1200.0 / math.log(2.0) / (2.0 * math.pi)
LARGEST_BEND = 2.5  # standard deviations


def steady_shift(frames: Floats, periods: int) -> tuple[Floats, NDArray[np.bool_]]:
    """Cents by which the pitch is above the one that the frames were cut for, and where that may be used; each of shape (hops,).

    Parameters
    ----------
    frames : float64 array, shape (hops, points)
        Cut within a few cents of the pitch; farther off, harmonics leak into one another.
    periods : int
        In each frame; a divisor of points, at least 4.
    """
    hops, points = frames.shape
    bins = np.fft.rfft(frames.reshape(hops, periods, points // periods)).view(np.float64)
    return shift_of(bins, *bends(periods))


def shift_of(bins: Floats, shapes: Floats, spread: float, bend_limits: Floats) -> tuple[Floats, NDArray[np.bool_]]:
    """The same from the periods' spectra, real and imaginary parts one beside the other, shape (hops, periods, 2 * bins), and ``bends``."""
    hops, periods, each = bins.shape
    harmonics = min(MOST_HARMONICS, each // 2 - 2)
    parts = bins[:, :, 2 : 2 * harmonics + 2]
    told = np.cumsum(parts[:, None] * shapes[:, :, None], axis=2)[:, :, -1]
    mean_real, turn_real, *bent_real = np.moveaxis(told[:, :, ::2], 1, 0)
    mean_imag, turn_imag, *bent_imag = np.moveaxis(told[:, :, 1::2], 1, 0)
    strength = mean_real**2 + mean_imag**2 + 1e-30
    # what mean and turn leave, by Pythagoras
    power = parts**2
    whole = np.cumsum(power[:, :, ::2] + power[:, :, 1::2], axis=1)[:, -1]
    left = whole - periods * strength - (turn_real**2 + turn_imag**2) / spread
    noise = smooth(np.maximum(left, 0.0) / (periods - 2)) + LEAK * strength.max(axis=1, keepdims=True)
    snr = periods * strength / noise
    number = np.arange(1, harmonics + 1)
    weight = number * (snr / (snr + SHRINK_SNR)) ** 2 / noise
    pull = _along(weight * (mean_real * turn_imag - mean_imag * turn_real))
    hold = _along(weight * number * strength)
    chance = _along(weight**2 * strength * noise)
    steady = np.ones(hops, dtype=np.bool_)
    for real, imag, limit in zip(bent_real, bent_imag, bend_limits.tolist(), strict=True):
        bent = _along(weight * (mean_real * imag - mean_imag * real))
        steady &= bent**2 <= limit * chance
    return pull / hold * (CENTS_A_TURN / spread), steady


@lru_cache(maxsize=16)
def bends(periods: int) -> tuple[Floats, float, Floats]:
    """What is told over the periods: mean, turn and two bends, shape (4, periods); the turn's power, and the most that each bend may be.

    Sums over them run from period to period, so that their order never depends on the machine.
    """
    place = np.arange(periods, dtype=np.float64) - 0.5 * (periods - 1)
    spread = float((place**2).sum())
    square: Floats = place**2 - spread / periods
    cube: Floats = place**3 - place * (float((place**4).sum()) / spread)
    limits = [LARGEST_BEND**2 * 0.5 * float((bend**2).sum()) for bend in (square, cube)]
    return np.stack((np.full(periods, 1.0 / periods), place, square, cube)), spread, np.array(limits)


def _along(values: Floats) -> Floats:
    """Sum over the harmonics."""
    out: Floats = np.add.reduce(values, axis=1)
    return out
