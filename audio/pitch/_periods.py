"""Sound around a hop, read off at a whole number of periods of its rough pitch, and its spectrum.

With P periods in the frame, harmonic l falls on bin l * P of the transform.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from audio.compiled import Step
from audio.units import RATE_HZ

Floats = NDArray[np.float64]
Rows = NDArray[np.int64]

PERIODS = (4, 5, 6, 8, 10, 12, 16, 20, 24, 30, 40)  # divisors of each of POINTS
POINTS = (240, 480, 720)
LEAST_POINTS_A_PERIOD = 10  # four harmonics
MOST_HARMONICS = 24
HIGH_HZ = 350.0

_PERIODS, _FEWER = np.array(PERIODS), np.array(POINTS[:-1])
BETWEEN = 0.5 * (_PERIODS[:-1] + _PERIODS[1:])


def alike(
    f0_hz: Floats, seconds: Floats, share: float, frames_a_point: tuple[float, float]
) -> Iterator[tuple[Rows, int, int]]:
    """Hops that can be cut alike: their rows, the number of periods nearest to ``share`` of ``seconds``, and of points.

    Parameters
    ----------
    f0_hz, seconds : float64 arrays, shape (hops,)
    share : float
    frames_a_point : two floats, for hops up to HIGH_HZ and above
        Sound between two points, at most: what is above RATE_HZ / 2 / frames_a_point folds down onto other harmonics.
    """
    rows, groups = np.empty(len(f0_hz), dtype=np.int64), np.empty((len(f0_hz), 3), dtype=np.int64)
    count = KINDS.now(f0_hz, seconds, share, *frames_a_point, rows, groups)
    begin = 0
    for end, periods, points in groups[:count].tolist():
        yield rows[begin:end], periods, points
        begin = end


def _kinds(f0_hz: Floats, seconds: Floats, share: float, low: float, high: float, rows: Rows, groups: Rows) -> int:
    """Number of groups, their rows one after another, and of each the end of its rows, its periods and its points."""
    wanted = f0_hz * (share * seconds)
    rank = np.searchsorted(BETWEEN, wanted)
    periods = _PERIODS[rank]
    frames = periods * RATE_HZ / f0_hz
    frames_a_point = np.where(f0_hz > HIGH_HZ, high, low)
    size = np.searchsorted(_FEWER, np.maximum(frames / frames_a_point, periods * LEAST_POINTS_A_PERIOD))
    kind = rank * len(POINTS) + size
    rows[:] = np.argsort(kind, kind="stable")
    kinds, ends = np.unique(kind, return_counts=True)
    for group, (each, end) in enumerate(zip(kinds.tolist(), np.cumsum(ends).tolist(), strict=True)):
        groups[group] = end, PERIODS[each // len(POINTS)], POINTS[each % len(POINTS)]
    return len(kinds)


def linear_frames(sound: Floats, centres: NDArray[np.int64], f0_hz: Floats, periods: int, points: int) -> Floats:
    """Frames of that many periods about each centre, shape (hops, points), read off between two samples."""
    index, part = _places(centres, f0_hz, periods, points)
    here = sound.take(index)
    frames: Floats = here + part * (sound.take(index + 1) - here)
    return frames


def cubic_frames(sound: Floats, centres: NDArray[np.int64], f0_hz: Floats, periods: int, points: int) -> Floats:
    """The same by four-point Lagrange: 40 dB finer at 2 kHz. Its errors are even about the centre and move no phase slope."""
    index, part = _places(centres, f0_hz, periods, points)
    before, here, after, later = (sound.take(index + k) for k in (-1, 0, 1, 2))
    cubic = (later - before) / 6.0 + 0.5 * (here - after)
    square = 0.5 * (before + after) - here
    line = after - here - square - cubic
    frames: Floats = here + part * (line + part * (square + part * cubic))
    return frames


def _places(centres: NDArray[np.int64], f0_hz: Floats, periods: int, points: int) -> tuple[Rows, Floats]:
    """Whole and fractional indices of the points of each frame, each of shape (hops, points)."""
    step = periods * RATE_HZ / (f0_hz * points)
    offset = step[:, None] * (np.arange(points) - points // 2)
    whole = np.floor(offset)
    return whole.astype(np.int64) + centres[:, None], offset - whole


def spectrum(frames: Floats) -> Floats:
    """Real and imaginary parts one beside the other, phase counted from the frame's first point, shape (hops, points + 2)."""
    return np.fft.rfft(frames).view(np.float64)


def smooth(noise: Floats) -> Floats:
    """Noise of each harmonic's neighbourhood: the mean over itself and two to each side; shape (hops, harmonics)."""
    harmonics = noise.shape[1]
    wide = noise.take(_mirrored(harmonics), axis=1)
    return (wide[:, :-4] + wide[:, 1:-3] + wide[:, 2:-2] + wide[:, 3:-1] + wide[:, 4:]) / 5.0


@lru_cache(maxsize=32)
def _mirrored(harmonics: int) -> Rows:
    """Indices of so many harmonics and of two more at each end."""
    return np.pad(np.arange(harmonics), 2, mode="reflect")


KINDS = Step(_kinds, "audio.pitch.compiled", "kinds")
