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

import numpy as np
from numpy.typing import NDArray

from audio.pitch._periods import MOST_HARMONICS, smooth

Floats = NDArray[np.float64]

SHRINK_SNR = 4.0  # harmonics that may be noise alone count for less
LEAK = 1e-4  # of the strongest harmonic's power, in every other: a frame cut a cent off is not quite whole
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
    each = points // periods
    harmonics = min(MOST_HARMONICS, each // 2 - 1)
    bins = np.fft.rfft(frames.reshape(hops, periods, each))[:, :, 1 : harmonics + 1]
    real, imag = bins.real, bins.imag
    place = np.arange(periods, dtype=np.float64) - 0.5 * (periods - 1)
    spread = float((place**2).sum())
    mean_real, mean_imag = (
        _weighted(real, np.full(periods, 1.0 / periods)),
        _weighted(imag, np.full(periods, 1.0 / periods)),
    )
    turn_real, turn_imag = _weighted(real, place), _weighted(imag, place)
    strength = mean_real**2 + mean_imag**2 + 1e-30
    # what mean and turn leave, by Pythagoras
    whole = _weighted(real**2 + imag**2, np.ones(periods))
    left = whole - periods * strength - (turn_real**2 + turn_imag**2) / spread
    noise = smooth(np.maximum(left, 0.0) / (periods - 2)) + LEAK * strength.max(axis=1, keepdims=True)
    snr = periods * strength / noise
    number = np.arange(1, harmonics + 1)
    weight = number * (snr / (snr + SHRINK_SNR)) ** 2 / noise
    pull = _along(weight * (mean_real * turn_imag - mean_imag * turn_real))
    hold = _along(weight * number * strength)
    chance = _along(weight**2 * strength * noise)
    steady = np.ones(hops, dtype=np.bool_)
    square: Floats = place**2 - spread / periods
    cube: Floats = place**3 - place * (float((place**4).sum()) / spread)
    for bend in (square, cube):
        bent = _along(weight * (mean_real * _weighted(imag, bend) - mean_imag * _weighted(real, bend)))
        steady &= bent**2 <= LARGEST_BEND**2 * 0.5 * float((bend**2).sum()) * chance
    return pull / hold * (1200.0 / np.log(2.0) / (2.0 * np.pi * spread)), steady


def _weighted(values: Floats, weights: Floats) -> Floats:
    """Sum over the periods, one after another so that the order never depends on the machine; shape (hops, harmonics)."""
    out: Floats = values[:, 0] * weights[0]
    for period in range(1, len(weights)):
        out = out + values[:, period] * weights[period]
    return out


def _along(values: Floats) -> Floats:
    """Sum over the harmonics."""
    out: Floats = values.sum(axis=1)
    return out
