"""Several people singing one note at one microphone: where the middle of it lies and how far they are apart. Nobody is told apart.

The power around the first harmonics, all of them together, is a picture of the singers' pitches: its centre is the centre of what sounds,
its width their spread, the width of the window and the noise taken off. Each singer weighs by loudness, since nothing else is heard. Two
things would pass for a spread and are looked for: vibrato, which moves every harmonic alike at 4 to 8 Hz while the beating of steady
singers moves each by itself; and voices an octave away, which show in the harmonics that only one of the two octaves has.

Spreads of choir sections lie at 16 to 30 cents (Cuesta and others 2018, ICMPC). How right the figures here are, is measured by
``tests/bench/crowd/run.py``.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audio.block import Samples
from audio.crowd_bands import (
    FLOOR_SHARE,
    HARMONICS,
    LOWEST_OVER,
    Band,
    Real,
    Spectrum,
    bands_of,
    edges,
    power_between,
    spectrum_of,
)

SHARE_ON_NOTE, LOW_HARMONICS_DB = 0.7, -30.0
"""Of the sound up to the last harmonic that share lies in the bands, and the first or second band is no weaker than that beside the
strongest (simulated: a crowd on its note has all of it there, on another note a quarter, or the first two 34 dB down)."""

VIBRATO_LOW_HZ, VIBRATO_HIGH_HZ = 4.0, 8.0
VIBRATO_CENTS, VIBRATO_SHARE = 3.0, 0.12
"""A common movement larger than either, in cents or as a share of the spread, is vibrato. Simulated: steady singers stay under 3."""

SMOOTHED_SECONDS, STEP_SECONDS = 0.06, 0.01
DOUBLED_HARMONICS, DOUBLED_BELOW_HZ = 13, 350.0
OCTAVE_ABSENT_DB = -20.0
"""Harmonics that only one octave has are absent when all lie so far under the others."""


@dataclass(frozen=True, slots=True)
class Crowd:
    """One note of several singers.

    Parameters
    ----------
    centre_cents : float
        Against the pitch looked for.
    spread_cents : float or None
        Standard deviation; None with vibrato, which cannot be taken out of it.
    vibrato : bool
    """

    centre_cents: float
    spread_cents: float | None
    vibrato: bool


def crowd_of(samples: Samples, rate_hz: int, f0_hz: float) -> Crowd | None:
    """The crowd on the note *f0_hz* in *samples*, shape (n,), the note's steady middle; None where most sing something else, or nobody."""
    spectrum = spectrum_of(samples, rate_hz)
    bands = bands_of(spectrum, f0_hz)
    if not bands or not _on_note(spectrum, f0_hz):
        return None
    centre, spread = middle_and_spread(bands)
    vibrato = _common_movement(samples, rate_hz, f0_hz) > max(VIBRATO_CENTS, VIBRATO_SHARE * spread)
    return Crowd(centre, None if vibrato else spread, vibrato)


def middle_and_spread(bands: list[Band]) -> tuple[float, float]:
    """Centre and standard deviation, in cents, of those who sing in *bands*, at least one.

    In one harmonic whoever has a formant there drowns the others. The power of all harmonics together is each singer's whole loudness, so
    that those who are equally loud count alike.
    """
    cents = np.concatenate([band.cents for band in bands])
    power = np.concatenate([band.power for band in bands])
    centre = float(np.average(cents, weights=power))
    own = np.average([band.own_variance for band in bands], weights=[band.power.sum() for band in bands])
    variance = float(np.average((cents - centre) ** 2, weights=power) - own)
    return centre, max(0.0, variance) ** 0.5


def lowest_octave(samples: Samples, rate_hz: int, f0_hz: float) -> int | None:
    """The lowest octave of *f0_hz* in which anybody sings: -1, 0 or 1; None where nothing stands out.

    A lower octave shows between the harmonics of the note, a higher one leaves out every second of them.
    """
    halves = _levels_db(samples, rate_hz, f0_hz / 2, 2 * HARMONICS)
    between, on = float(halves[0::2].max()), halves[1::2]
    if not np.isfinite(max(between, float(on.max()))):
        return None
    if between > float(on.max()) + OCTAVE_ABSENT_DB:
        return -1
    return 1 if float(on[0::2].max()) < float(on[1::2].max()) + OCTAVE_ABSENT_DB else 0


def doubling_db(samples: Samples, rate_hz: int, lowest_hz: float) -> float | None:
    """How far the even harmonics of *lowest_hz* stand over the mean of their neighbours; None where that says nothing.

    Formants alone do that up or down by several decibels in one note, so only the mean over many notes says that people sing an octave
    higher as well. It says nothing where too few harmonics stand out, or where they lie too far apart to tell formant from octave.
    """
    if lowest_hz > DOUBLED_BELOW_HZ:
        return None
    levels = _levels_db(samples, rate_hz, lowest_hz, DOUBLED_HARMONICS)
    inner = np.arange(1, len(levels) - 1, 2)
    there = inner[np.isfinite(levels[inner - 1]) & np.isfinite(levels[inner]) & np.isfinite(levels[inner + 1])]
    over = levels[there] - (levels[there - 1] + levels[there + 1]) / 2
    return float(np.mean(over)) if len(over) else None


def _on_note(spectrum: Spectrum, f0_hz: float) -> bool:
    """Whether the sound is that note: nearly all of it lies in the bands, and not in the higher ones alone, which other notes share."""
    ends = [edges(f0_hz, number) for number in range(1, HARMONICS + 1)]
    within = power_between(spectrum, ends)
    (whole,) = power_between(spectrum, [(ends[0][0] / 2, ends[-1][1])])
    return sum(within) >= SHARE_ON_NOTE * whole and max(within[:2]) >= max(within) * 10 ** (LOW_HARMONICS_DB / 10)


def _common_movement(samples: Samples, rate_hz: int, f0_hz: float) -> float:
    """How far all harmonics move together at the rates of vibrato: standard deviation in cents."""
    spectrum = np.fft.fft(samples)
    hz = np.fft.fftfreq(len(samples), 1 / rate_hz)
    moves = [
        _movement(spectrum, hz, rate_hz, number * f0_hz, edges(f0_hz, number)) for number in range(1, HARMONICS + 1)
    ]
    return float(np.std(np.mean(moves, axis=0)))


def _movement(
    spectrum: NDArray[np.complex128], hz: Real, rate_hz: int, centre_hz: float, ends: tuple[float, float]
) -> Real:
    """Cents of one harmonic's energy-weighted instantaneous frequency over time, only what moves at the rates of vibrato."""
    turning = np.fft.ifft(np.where((hz >= ends[0]) & (hz <= ends[1]), 2 * spectrum, 0))
    energy = np.abs(turning[1:]) ** 2
    weighted = np.cumsum(np.concatenate([[0.0], energy * np.angle(turning[1:] * np.conj(turning[:-1]))]))
    total = np.cumsum(np.concatenate([[0.0], energy]))
    wide = round(SMOOTHED_SECONDS * rate_hz)
    at = np.arange(0, max(1, len(energy) - wide), round(STEP_SECONDS * rate_hz))
    mean_hz = (weighted[at + wide] - weighted[at]) / (total[at + wide] - total[at] + 1e-30) * rate_hz / (2 * np.pi)
    cents = 1200 * np.log2(np.maximum(mean_hz, centre_hz / 2) / centre_hz)
    rates = np.fft.rfftfreq(len(cents), STEP_SECONDS)
    moving = np.fft.rfft(cents - cents.mean())
    moving[(rates < VIBRATO_LOW_HZ) | (rates > VIBRATO_HIGH_HZ)] = 0
    return np.fft.irfft(moving, len(cents))


def _levels_db(samples: Samples, rate_hz: int, f0_hz: float, count: int) -> Real:
    """Level of each of the first harmonics over its band's noise, minus infinity where none stands out; shape (count,)."""
    spectrum = spectrum_of(samples, rate_hz)
    hz, power = spectrum.hz, spectrum.power
    found = np.full(count, -np.inf)
    for number in range(1, count + 1):
        low, high = edges(f0_hz, number)
        band = power[(hz >= low) & (hz <= high)]
        if len(band) and band.max() > 0 and band.max() >= np.quantile(band, FLOOR_SHARE) * 10 ** (LOWEST_OVER / 10):
            found[number - 1] = 10 * np.log10(band.sum())
    return found
