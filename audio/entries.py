"""How far apart several singers come in on one note, at one microphone. Nobody is told apart.

A section's power grows by a step for each singer who comes in, so that its rise is the spread of their entries. In one harmonic it beats
as slowly as they come in, but each harmonic beats by itself and the higher ones faster: each brought to its own steady power, up to
5 kHz, and all averaged, they leave the rise. A room and a swell go on rising after it; they are a second, slower step. When the rise comes
is left open, so that a section that is late together is together.

How often it is right is measured by ``tests/bench/crowd/entries.py``.
"""

from __future__ import annotations

from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from audio.block import Samples

Real = NDArray[np.floating[Any]]

BEFORE_SECONDS, AFTER_SECONDS = 0.45, 0.35
"""About the written entry: where the rise is looked for."""

QUIET_SECONDS, STEADY_FROM_SECONDS, STEADY_TO_SECONDS = 0.1, 0.3, 1.3
"""The first of it is what sounds without the note; from the second on to the third, after the entry, it is steady."""

STEP_SECONDS, WINDOW_SECONDS = 0.005, 0.043
HIGHEST_HZ, STANDS_OUT = 5000.0, 30.0
BAND_HZ, BAND_SHARE, BAND_OF_F0 = 25.0, 0.035, 0.3
"""A harmonic's band reaches that far to both sides, or that share of its frequency (60 cents), and never further than that of the note."""

SLOW_SECONDS = 0.15
"""How slowly rooms and swells go on rising: fitted on simulated sections in rooms of RT60 0.2 to 0.8 s."""

LEAST_FIRST = 0.3
"""Less than that share of the rise is no entry: a slow step alone would pass for any width."""

STEEP = 1.702
"""Makes a logistic step pass for a normal one, to a hundredth of its height."""


def entry_curve(samples: Samples, rate_hz: int, f0_hz: float) -> Real | None:
    """The rise of the note *f0_hz*: its power every ``STEP_SECONDS``, about 0 before and 1 after; None where the note does not stand out.

    *samples*, shape (n,), start ``BEFORE_SECONDS`` before the written entry and last for the note.
    """
    window = round(WINDOW_SECONDS * rate_hz)
    starts = np.arange(0, len(samples) - window, round(STEP_SECONDS * rate_hz))
    steady = slice(round((BEFORE_SECONDS + STEADY_FROM_SECONDS) / STEP_SECONDS), None)
    if len(starts) <= steady.start:
        return None
    size = 1 << int(np.ceil(np.log2(window)) + 1)
    frames = np.lib.stride_tricks.sliding_window_view(samples, window)[starts] * np.hanning(window)
    power = np.abs(np.fft.rfft(frames, size)) ** 2
    hz = np.fft.rfftfreq(size, 1 / rate_hz)
    rises = []
    for number in range(1, int(HIGHEST_HZ / f0_hz) + 1):
        reach = min(BAND_OF_F0 * f0_hz, max(BAND_HZ, BAND_SHARE * number * f0_hz))
        band = power[:, np.abs(hz - number * f0_hz) <= reach].sum(axis=1)
        quiet = float(np.median(band[: round(QUIET_SECONDS / STEP_SECONDS)]))
        full = float(band[steady].mean())
        if full > STANDS_OUT * quiet:
            rises.append((band - quiet) / (full - quiet))
    return np.mean(rises, axis=0)[: len(_moments())] if rises else None


def apart_seconds(curve: Real) -> float:
    """The standard deviation of the entries in *curve*, of ``entry_curve``: of one note rough, the middle of several is a measure."""
    misfit = _misfit(curve)
    best = int(misfit.argmin())
    widths = _widths()
    if not 0 < best < len(widths) - 1:
        return float(widths[best])
    bend = np.polyfit(widths[best - 1 : best + 2], misfit[best - 1 : best + 2], 2)
    return float(-bend[1] / (2 * bend[0]))


def _moments() -> Real:
    """Of a curve's points, in seconds after the written entry; the middle of each window."""
    count = round((BEFORE_SECONDS + AFTER_SECONDS - WINDOW_SECONDS / 2) / STEP_SECONDS)
    return np.arange(count) * STEP_SECONDS - BEFORE_SECONDS + WINDOW_SECONDS / 2


def _widths() -> Real:
    return np.concatenate([[0.008, 0.015], np.arange(0.02, 0.12, 0.01), np.arange(0.12, 0.36, 0.02)])


@cache
def _steps() -> tuple[Real, Real]:
    """Steps of every width and moment, and the same as slowly as a room fills; shape (widths, centres, points)."""
    at = _moments()
    centres = np.arange(-0.25, 0.4, 0.01)
    quick = 1 / (1 + np.exp(-STEEP * (at - centres[:, None]) / _widths()[:, None, None]))
    filling = np.exp(-np.arange(len(at)) * STEP_SECONDS / SLOW_SECONDS)
    size = 2 * len(at)
    slow = np.fft.irfft(np.fft.rfft(quick, size) * np.fft.rfft(filling / filling.sum(), size), size)[..., : len(at)]
    return quick, slow


def _misfit(curve: Real) -> Real:
    """What a step of each width leaves of *curve* at its best moment and heights, neither of which may fall; shape (widths,)."""
    quick, slow = _steps()
    quick_quick, quick_slow, slow_slow = (
        (one * other).sum(-1) for one, other in ((quick, quick), (quick, slow), (slow, slow))
    )
    on_quick, on_slow = (quick * curve).sum(-1), (slow * curve).sum(-1)
    determinant = quick_quick * slow_slow - quick_slow**2 + 1e-9
    later = np.maximum(0.0, (quick_quick * on_slow - quick_slow * on_quick) / determinant)
    first = (slow_slow * on_quick - quick_slow * on_slow) / determinant
    later = np.where(first < LEAST_FIRST, 0.0, later)
    first = np.where(later == 0, on_quick / quick_quick, first)
    left = curve - first[..., None] * quick - later[..., None] * slow
    return np.asarray((left**2).sum(-1).min(axis=1))
