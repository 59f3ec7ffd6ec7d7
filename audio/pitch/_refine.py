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
PERIODS = (4, 5, 6, 8, 10, 12, 16, 20, 24, 30, 40)  # divisors of POINTS
MOST_HARMONICS = 24
CLEAR_STRENGTHS = np.array([1.5, 3.0, 5.0])  # of _salience
WINDOW_SECONDS = np.array([0.070, 0.050, 0.036, 0.028])  # below, between and above them
LARGEST_SNR = 20.0  # of one harmonic: beyond it jitter, glides and rooms set the limit, not noise
CERTAIN_SNR = 15.0  # well below it a harmonic may be noise alone, and is left out
LEAST_HARMONIC = 3e-8  # of the strongest: images of the interpolation are no harmonics
HALF_FRAMES = 980  # reach to each side: half of the longest window, at a pitch 100 cents lower than was asked for

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


def window_seconds(strengths: Floats) -> Floats:
    """Length of sound to look at, shape as given: a clear voice can be followed closely, a faint one must be averaged."""
    seconds: Floats = WINDOW_SECONDS[np.searchsorted(CLEAR_STRENGTHS, strengths)]
    return seconds


def refine(sound: Floats, centres: NDArray[np.int64], cents: Floats, window_seconds: Floats) -> Refined:
    """Pitches near the rough ones.

    Parameters
    ----------
    sound : float64 array
    centres : int64 array, shape (hops,), indices into ``sound`` at least ``HALF_FRAMES`` + 2 from its ends
    cents : float64 array, shape (hops,), within about 50 cents of the truth
    window_seconds : float64 array, shape (hops,); the next whole number of periods in PERIODS is taken
    """
    f0_hz = 440.0 * np.exp2((cents - 6900.0) / 1200.0)
    wanted = f0_hz * window_seconds
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
    rough = _spectrum(_periodic_frames_linear(sound, centres, f0_hz, periods))
    first = _shift(rough, periods)[0]
    f0_hz = f0_hz * np.exp2(np.clip(first, -100.0, 100.0) / 1200.0)
    frames = _periodic_frames(sound, centres, f0_hz, periods)
    frames -= ((frames * _HANN2).sum(axis=1) / _HANN2.sum())[:, None]
    power = (frames**2 * _HANN2).sum(axis=1) / _HANN2.sum()
    spectrum = _spectrum(frames)
    second, sigma = _shift(spectrum, periods)
    cents = 6900.0 + 1200.0 * np.log2(f0_hz / 440.0) + np.clip(second, -50.0, 50.0)
    return Refined(cents, sigma, power, _residual(spectrum, power, periods))


def _places(centres: NDArray[np.int64], f0_hz: Floats, periods: int) -> tuple[NDArray[np.intp], Floats]:
    """Whole and fractional indices of the points of each frame, shape (hops, POINTS)."""
    step = periods * RATE_HZ / (f0_hz * POINTS)
    offset = step[:, None] * (np.arange(POINTS) - POINTS // 2)
    whole = np.floor(offset)
    return whole.astype(np.intp) + centres[:, None], offset - whole


def _periodic_frames_linear(sound: Floats, centres: NDArray[np.int64], f0_hz: Floats, periods: int) -> Floats:
    index, part = _places(centres, f0_hz, periods)
    here = sound.take(index)
    frames: Floats = here + part * (sound.take(index + 1) - here)
    return frames


def _periodic_frames(sound: Floats, centres: NDArray[np.int64], f0_hz: Floats, periods: int) -> Floats:
    """Four-point Lagrange interpolation: its errors are even about the centre and move no phase slope."""
    index, part = _places(centres, f0_hz, periods)
    before, here, after, later = (sound.take(index + k) for k in (-1, 0, 1, 2))
    cubic = (later - before) / 6.0 + 0.5 * (here - after)
    square = 0.5 * (before + after) - here
    line = after - here - square - cubic
    frames: Floats = here + part * (line + part * (square + part * cubic))
    return frames


def _spectrum(frames: Floats) -> Floats:
    """Real and imaginary parts, phase counted from the centre, shape (2, hops, POINTS / 2 + 1)."""
    bins = np.fft.rfft(frames)
    return np.stack((bins.real * _CENTRED, bins.imag * _CENTRED))


def _shift(spectrum: Floats, periods: int) -> tuple[Floats, Floats]:
    """Cents by which the pitch is above the one that the window was cut for, and its standard deviation."""
    harmonics = min(MOST_HARMONICS, POINTS // (2 * periods) - 1)
    spectrum = spectrum[:, :, : periods * harmonics + periods // 2 + 2]
    windowed = 0.5 * spectrum[:, :, 1:-1] + 0.25 * (spectrum[:, :, :-2] + spectrum[:, :, 2:])  # bin 1 on
    power = windowed[0] ** 2 + windowed[1] ** 2 + 1e-30
    at = slice(periods - 1, periods * harmonics, periods)
    strength = power[:, at]
    slope = spectrum[:, :, :-2][:, :, at] - spectrum[:, :, 2:][:, :, at]
    product = slope[0] * windowed[0, :, at] + slope[1] * windowed[1, :, at]
    off_bins = np.clip(-0.25 * product / strength, -1.5, 1.5)
    half = periods // 2  # from one harmonic to where the window lets least of it and the next through
    noise = 0.5 * (
        power[:, periods - 1 - half : periods * harmonics - half : periods] + power[:, periods - 1 + half :: periods]
    )
    snr = strength / (_smooth(noise) + LEAST_HARMONIC * strength.max(axis=1, keepdims=True))
    weight = snr * (snr / (snr + CERTAIN_SNR)) ** 2 / (1.0 + snr / LARGEST_SNR)
    number = np.arange(1, harmonics + 1)
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
    b = spectrum / POINTS
    under_square = (
        0.375 * b[:, :, 2:-2] + 0.25 * (b[:, :, 1:-3] + b[:, :, 3:-1]) + 0.0625 * (b[:, :, :-4] + b[:, :, 4:])
    )
    teeth = under_square[:, :, periods - 2 :: periods]
    explained = 2.0 * (teeth[0] ** 2 + teeth[1] ** 2).sum(axis=1) / 0.375**2
    chance = 2.0 * teeth.shape[2] * (35.0 / 128.0) / (POINTS * 0.375**2)
    residual: Floats = np.clip((power - explained) / (1.0 - chance), 0.0, power)
    return residual
