"""The exact pitch of a hop, and how much of the sound it explains.

Around each hop's centre a whole number of periods of the rough pitch is read off at 480 points, so that harmonic l falls
on bin l * periods of a 480-point transform, and a Hann window (whose transform is 0 at every other whole bin from the
second on) lets no harmonic leak into another. Each harmonic's frequency comes from the windowed transform and that of
the window's derivative; the pitch is their weighted least-squares mean. On a single tone this has 1.28 times the
standard deviation of the Cramér-Rao bound for the window.

The window is symmetric about the centre, so on a glide the estimate belongs to the centre.

Sources: frequency from the derivative window, Auger & Flandrin (1995), IEEE Trans. SP 43(5), eq. 33; bound, Christensen &
Jakobsson (2009), "Multi-Pitch Estimation", section 1.5 (both from memory).
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audio.units import RATE_HZ

Floats = NDArray[np.float64]

POINTS = 480
PERIODS = (4, 5, 6, 8, 10, 12, 16, 20)  # divisors of POINTS
WINDOW_SECONDS = 0.036
MOST_HARMONICS = 24
HALF_FRAMES = 780  # half of 4 periods at 62 Hz, and the interpolation's reach

_ANGLE = 2.0 * np.pi * (np.arange(POINTS) - POINTS // 2) / POINTS
_HANN = 0.5 + 0.5 * np.cos(_ANGLE)
_HANN2 = _HANN**2
_CENTRED = np.where(np.arange(POINTS // 2 + 1) % 2 == 0, 1.0, -1.0)  # phase counted from the centre


@dataclass(frozen=True, slots=True, eq=False)
class Refined:
    """Estimates of some hops, each field a float64 array of shape (hops,).

    Parameters
    ----------
    cents : pitch above C-1
    sigma_cents : standard deviation expected from the noise in this window alone
    power, residual : mean square of the sound, and of what the harmonics do not explain
    """

    cents: Floats
    sigma_cents: Floats
    power: Floats
    residual: Floats


def refine(sound: Floats, centres: NDArray[np.int64], cents: Floats) -> Refined:
    """Pitches near the rough ones.

    Parameters
    ----------
    sound : float64 array
    centres : int64 array, shape (hops,), indices into ``sound`` at least ``HALF_FRAMES`` + 2 from its ends
    cents : float64 array, shape (hops,), within about 50 cents of the truth
    """
    f0_hz = 440.0 * np.exp2((cents - 6900.0) / 1200.0)
    wanted = f0_hz * WINDOW_SECONDS
    rank = np.zeros(len(cents), dtype=np.intp)
    for lower, upper in itertools.pairwise(PERIODS):
        rank += wanted > 0.5 * (lower + upper)
    out = Refined(*(np.empty(len(cents)) for _ in range(4)))
    for each in np.unique(rank):
        rows = np.flatnonzero(rank == each)
        some = _with_periods(sound, centres[rows], f0_hz[rows], PERIODS[each])
        for name in ("cents", "sigma_cents", "power", "residual"):
            getattr(out, name)[rows] = getattr(some, name)
    return out


def _with_periods(sound: Floats, centres: NDArray[np.int64], f0_hz: Floats, periods: int) -> Refined:
    first = _shift(_spectrum(sound, centres, f0_hz, periods)[0], periods)[0]
    f0_hz = f0_hz * np.exp2(np.clip(first, -100.0, 100.0) / 1200.0)
    spectrum, power = _spectrum(sound, centres, f0_hz, periods)
    second, sigma = _shift(spectrum, periods)
    cents = 6900.0 + 1200.0 * np.log2(f0_hz / 440.0) + np.clip(second, -50.0, 50.0)
    total, residual = power, _residual(spectrum, power, periods)
    return Refined(cents, sigma, total, residual)


def _spectrum(sound: Floats, centres: NDArray[np.int64], f0_hz: Floats, periods: int) -> tuple[Floats, Floats]:
    """Real and imaginary parts from the centre, shape (2, hops, bins), and mean square under the squared window."""
    step = periods * RATE_HZ / (f0_hz * POINTS)
    at = centres[:, None] + step[:, None] * (np.arange(POINTS) - POINTS // 2)
    whole = np.floor(at)
    part = at - whole
    index = whole.astype(np.intp)
    # four-point Lagrange: its errors are even about the centre and move no phase slope
    before, here, after, later = (sound.take(index + k) for k in (-1, 0, 1, 2))
    less, more, most = part - 1.0, part + 1.0, part - 2.0
    frames = (
        before * (part * less * most) * (-1.0 / 6.0)
        + here * (more * less * most) * 0.5
        + after * (more * part * most) * (-0.5)
        + later * (more * part * less) * (1.0 / 6.0)
    )
    frames -= ((frames * _HANN2).sum(axis=1) / _HANN2.sum())[:, None]
    power = (frames**2 * _HANN2).sum(axis=1) / _HANN2.sum()
    bins = np.fft.rfft(frames)
    return np.stack((bins.real * _CENTRED, bins.imag * _CENTRED)) / POINTS, power


def _shift(spectrum: Floats, periods: int) -> tuple[Floats, Floats]:
    """Cents by which the pitch is above the one that the window was cut for, and its standard deviation."""
    harmonics = min(MOST_HARMONICS, POINTS // (2 * periods) - 1)
    windowed = 0.5 * spectrum[:, :, 1:-1] + 0.25 * (spectrum[:, :, :-2] + spectrum[:, :, 2:])  # bin 1 on
    slope = spectrum[:, :, :-2] - spectrum[:, :, 2:]
    at = slice(periods - 1, periods * harmonics, periods)
    strength = windowed[0, :, at] ** 2 + windowed[1, :, at] ** 2 + 1e-30
    product = slope[0, :, at] * windowed[0, :, at] + slope[1, :, at] * windowed[1, :, at]
    off_bins = np.clip(-0.25 * product / strength, -1.5, 1.5)
    between = windowed[:, :, periods - 1 + periods // 2 : periods * harmonics + periods // 2 : periods]
    below = windowed[:, :, periods - 1 - periods // 2 : periods * harmonics - periods // 2 : periods]
    noise = 0.5 * (between[0] ** 2 + between[1] ** 2 + below[0] ** 2 + below[1] ** 2)
    noise = _smooth(noise) + 0.003 * strength + 1e-16
    number = np.arange(1, harmonics + 1)
    weight = strength / noise
    pull = (weight * number * off_bins).sum(axis=1)
    hold = (weight * number**2).sum(axis=1)
    to_cents = 1200.0 / np.log(2.0) / periods
    # a Hann transform's noise moves off_bins by sqrt(1 / (3 weight)); see the module's source
    return pull / hold * to_cents, to_cents * np.sqrt(1.0 / (3.0 * hold))


def _smooth(noise: Floats) -> Floats:
    """Noise of each harmonic's neighbourhood: the mean over itself and two to each side."""
    wide = np.concatenate((noise[:, 2:0:-1], noise, noise[:, -2:-4:-1]), axis=1)
    return (wide[:, :-4] + wide[:, 1:-3] + wide[:, 2:-2] + wide[:, 3:-1] + wide[:, 4:]) / 5.0


def _residual(spectrum: Floats, power: Floats, periods: int) -> Floats:
    """Mean square that no harmonic explains, freed of the share of noise that harmonics explain by chance."""
    b = spectrum
    under_square = (
        0.375 * b[:, :, 2:-2] + 0.25 * (b[:, :, 1:-3] + b[:, :, 3:-1]) + 0.0625 * (b[:, :, :-4] + b[:, :, 4:])
    )
    teeth = under_square[:, :, periods - 2 :: periods]
    explained = 2.0 * (teeth**2).sum(axis=(0, 2)) / 0.375**2
    chance = 2.0 * teeth.shape[2] * (35.0 / 128.0) / (POINTS * 0.375**2)
    residual: Floats = np.clip((power - explained) / (1.0 - chance), 0.0, power)
    return residual
