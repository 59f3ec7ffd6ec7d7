"""A room learnt from what was played and what was heard: least squares, all at once.

Conjugate gradients on the normal equations, each product by one transform; stopping early is what keeps frequencies that were hardly
sounded from being made up (Hestenes & Stiefel 1952; early stopping as regularisation, Hanke 1995; from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np
from numpy.typing import NDArray

from audio.canceller._drift import MOST as MOST_DRIFT
from audio.canceller._filter import BLOCK_FRAMES, TAPS
from audio.canceller._reference import Reference
from audio.canceller.path import LEAD_FRAMES, EchoPath
from audio.units import RATE_HZ

Floats = NDArray[np.float64]

ROUNDS = 24
SMOOTH_BINS = 64
TRAINED, TRIED = 0.55, 0.75
"""Learnt from the sound up to the first share and tried on it up to the second, to tell how well the room is known; then from all."""

LONGEST_DELAY_SECONDS = 0.9
"""Wireless loudspeakers stay below half a second."""

FIRST_AS_HIGH = 0.7
"""The first peak so high against the highest is the direct sound."""

BEST_DB = -32.0
"""More than this no filter takes away for long: a breath of warm air moves a room by as much."""

FLOOR = 1e-4
"""Frequencies sounded so much softer than the loudest are learnt more slowly than the rest."""

QUIET_SECONDS = 0.2
DRIFT_SECONDS = 0.5
DRIFT_WITHIN_FRAMES = 24
LEAST_DRIFT_PPM = 8.0
"""Less is the error of the measurement, and within the room's own response for minutes."""

NEAR_FRAMES = 480
"""20 ms: a server that opens its streams anew is off by less."""

NEAR_PEAK = 6.5
TRIED_DELAYS, APART_FRAMES = 10, 24
PIECE_FRAMES = 1 << 18
"""11 s, so that SMOOTH_BINS of its transform are as wide as those of a short search."""

AROUND_FRAMES, MEAN_OF_USUAL, LEAST_SOUND = RATE_HZ // 2, 0.7979, 1e-6
"""Mean of a correlation's height where that is noise, in usual heights: the root of 2 / pi, as the mean of a half-normal's."""

LEAST_PEAK = 8.0
"""An echo's first sound stands so much above the usual height of its correlation; unlike sounds reach 6."""


def found_delay(played: Floats, heard: Floats, longest_frames: int) -> int | None:
    """Frames at ``RATE_HZ``, 0 to *longest_frames*, by which what was played is first heard; None where it is not heard.

    Whitened cross-correlation (the roots of Knapp & Carter 1976, IEEE Trans. ASSP 24), whose first high peak counts.
    """
    row = _likely(played, heard, longest_frames)
    if row is None:
        return None
    peak = float(row.max())
    if peak < LEAST_PEAK * _usual(row):
        return None
    return int(np.flatnonzero(row >= FIRST_AS_HIGH * peak)[0])


def heights(played: Floats, heard: Floats, longest_frames: int) -> Floats | None:
    """How well each delay fits, shape (longest_frames + 1,), the usual height of such a correlation being 1.

    None where one of the two is silent, or has nothing in a voice's range.
    """
    row = _likely(played, heard, longest_frames)
    usual = 0.0 if row is None else _usual(row)
    return row / usual if row is not None and usual > 0.0 else None


def heights_all_along(stretches: Iterable[Floats], heard: Floats) -> Iterator[Floats]:
    """How well each of these, of PIECE_FRAMES / 4 at most, fits wherever it may begin in a long sound, shape (len(heard),).

    The usual height is 1 all along: it is told from half a second to each side, since a singer comes and goes. 0 where nothing sounds.
    """
    step = PIECE_FRAMES // 2
    padded = np.concatenate((heard, np.zeros(PIECE_FRAMES)))
    pieces = [
        np.fft.rfft(padded[at : at + step + PIECE_FRAMES // 4], PIECE_FRAMES) for at in range(0, len(heard), step)
    ]
    for stretch in stretches:
        whitener = _whitener(stretch, PIECE_FRAMES)
        row = np.concatenate([np.abs(np.fft.irfft(piece * whitener)[:step]) for piece in pieces])[: len(heard)]
        usual = _mean_around(row, AROUND_FRAMES) / MEAN_OF_USUAL
        yield np.divide(row, usual, out=np.zeros_like(row), where=usual > LEAST_SOUND * usual.max(initial=0.0))


def _mean_around(row: Floats, reach: int) -> Floats:
    """Mean over so many to each side, of fewer at the ends."""
    sums = np.concatenate(([0.0], np.cumsum(row)))
    at = np.arange(len(row))
    first, end = np.maximum(at - reach, 0), np.minimum(at + reach + 1, len(row))
    return np.asarray((sums[end] - sums[first]) / (end - first))


def possible_delays(foretold: Floats, heard: Floats, delay_frames: int, longest_frames: int) -> set[int]:
    """Delays at which what was foretold may be heard: the likeliest of those near *delay_frames* and of all.

    Tones that are held fit themselves at many delays, a chord at every period of its root: all are to be tried.
    """
    row = _likely(foretold, heard, longest_frames)
    if row is None:
        return set()
    first, usual = max(delay_frames - NEAR_FRAMES, 0), _usual(row)
    near = row[first : delay_frames + NEAR_FRAMES]
    return {first + k for k in _peaks(near, NEAR_PEAK * usual)} | set(_peaks(row, LEAST_PEAK * usual))


def _peaks(row: Floats, least: float) -> list[int]:
    """The highest of a row, each the highest within a millisecond."""
    row = row.copy()
    found: list[int] = []
    while len(found) < TRIED_DELAYS and float(row.max(initial=0.0)) >= least:
        at = int(row.argmax())
        found.append(at)
        row[max(at - APART_FRAMES, 0) : at + APART_FRAMES] = 0.0
    return found


def _usual(row: Floats) -> float:
    return float(np.median(row)) / 0.6745


def _likely(played: Floats, heard: Floats, longest_frames: int) -> Floats | None:
    """Height of the whitened cross-correlation at each delay, shape (longest_frames + 1,)."""
    if not played.any() or not heard.any():
        return None
    size = 1 << (len(played) + len(heard)).bit_length()
    across = np.fft.rfft(heard, size) * _whitener(played, size)
    return np.asarray(np.abs(np.fft.irfft(across, size)[: longest_frames + 1]))


def _whitener(played: Floats, size: int) -> NDArray[np.complex128]:
    """What turns the spectrum of what was heard into that of its correlation with what was played, all frequencies alike."""
    out = np.fft.rfft(played, size)
    hz = np.arange(len(out)) * RATE_HZ / size
    power = _smoothed(np.square(np.abs(out)))
    loud = (power > 1e-5 * power.max()) & (hz > 70.0) & (hz < 8_000.0)
    return np.asarray(np.where(loud, np.conj(out) / np.maximum(power, 1e-30), 0.0))


def learnt(played: Floats, heard: Floats, delay_frames: int, *, drift_ppm: float = 0.0) -> EchoPath:
    """The room between two sounds at ``RATE_HZ``, shape (n,) each, on one axis.

    Parameters
    ----------
    delay_frames : int
        Of the first sound, as ``found_delay`` tells it.
    drift_ppm : float
        As ``found_drift`` tells it; the room is the one at the beginning of the two sounds.
    """
    if drift_ppm:
        played = stretched(played, drift_ppm)
    lead = max(delay_frames - LEAD_FRAMES, 0)
    count = min(len(played), len(heard) - lead)
    played, heard = played[:count], heard[lead : lead + count]
    quiet = float(_powers(heard).min())
    kept, end = round(count * TRAINED), round(count * TRIED)
    tried = sounded(played[:end], _least_squares(played[:kept], heard[:kept]))[kept:end]
    truth = heard[kept:end]
    left = max(float(np.square(truth - tried).mean()) - quiet, 0.0) / max(float(np.square(tried).mean()), 1e-20)
    taps = _least_squares(played, heard)
    left_db = float(np.clip(10 * np.log10(max(left, 1e-9)), BEST_DB, 0.0))
    return EchoPath(taps.astype(np.float32), lead, drift_ppm, left_db)


def found_drift(played: Floats, heard: Floats, delay_frames: int) -> float:
    """Parts in a million by which the microphone's clock runs faster; 0 where it is none or cannot be told.

    The echo's place is told in each half second and a line laid through the places (Theil 1950: the middle of all slopes).
    """
    count = round(DRIFT_SECONDS * RATE_HZ)
    centres, places = [], []
    for begin in range(0, min(len(played), len(heard) - delay_frames - DRIFT_WITHIN_FRAMES) - count, count // 2):
        place = _place(played[begin : begin + count], heard, begin + delay_frames)
        if place is not None:
            centres.append(begin)
            places.append(place)
    slopes = [
        (places[k] - places[j]) / (centres[k] - centres[j])
        for j in range(len(places))
        for k in range(j + 1, len(places))
        if centres[k] - centres[j] >= 2 * count
    ]
    drift_ppm = 1e6 * float(np.median(slopes)) if len(slopes) >= 3 else 0.0
    return drift_ppm if LEAST_DRIFT_PPM <= abs(drift_ppm) <= 1e6 * MOST_DRIFT else 0.0


def _place(sound: Floats, heard: Floats, expected: int) -> float | None:
    """Frames by which *sound* lies later in *heard* than *expected*; None where it is not heard clearly."""
    first = max(expected - DRIFT_WITHIN_FRAMES, 0)
    window = heard[first : expected + len(sound) + DRIFT_WITHIN_FRAMES]
    size = 1 << len(window).bit_length()
    out = np.fft.rfft(sound, size)
    power = _smoothed(np.square(np.abs(out)))
    across = np.where(
        power > 1e-4 * power.max(), np.fft.rfft(window, size) * np.conj(out) / np.maximum(power, 1e-30), 0.0
    )
    row = np.abs(np.fft.irfft(across, size)[: 2 * DRIFT_WITHIN_FRAMES])
    at = int(row.argmax())
    if not 0 < at < len(row) - 1:
        return None
    before, peak, after = row[at - 1 : at + 2]
    bend = before - 2 * peak + after
    return float(first + at - expected + (0.5 * (before - after) / bend if bend < 0 else 0.0))


def stretched(sound: Floats, drift_ppm: float) -> Floats:
    """What was played under the clock of a microphone that runs faster by so much."""
    reference = Reference(0, 0.0)
    reference.drift = drift_ppm * 1e-6
    reference.add(np.concatenate((sound, np.zeros(2 * BLOCK_FRAMES))).astype(np.float32))
    blocks = [reference.next_block() for _ in range(-(-len(sound) // BLOCK_FRAMES))]
    return np.concatenate(blocks)[: len(sound)].astype(np.float64)


def _powers(sound: Floats) -> Floats:
    """Mean power of each fifth of a second."""
    count = min(round(QUIET_SECONDS * RATE_HZ), len(sound))
    whole = sound[: len(sound) // count * count].reshape(-1, count)
    return np.asarray(np.square(whole).mean(axis=1))


def _least_squares(played: Floats, heard: Floats) -> Floats:
    size = 1 << (len(played) + TAPS).bit_length()
    spectrum = np.fft.rfft(played, size)
    power = _smoothed(np.square(np.abs(spectrum)))
    flat = np.maximum(power, FLOOR * power.max())

    def forward(taps: Floats) -> Floats:
        return np.fft.irfft(spectrum * np.fft.rfft(taps, size), size)[: len(heard)]

    def back(error: Floats) -> Floats:
        return np.fft.irfft(np.conj(spectrum) * np.fft.rfft(error, size), size)[:TAPS]

    def levelled(row: Floats) -> Floats:
        return np.fft.irfft(np.fft.rfft(row, size) / flat, size)[:TAPS]

    taps, rest = np.zeros(TAPS), back(heard)
    way = level = levelled(rest)
    energy = float(rest @ level)
    for _ in range(ROUNDS):
        if energy <= 1e-20:
            break
        pushed = back(forward(way))
        step = energy / float(way @ pushed)
        taps = taps + step * way
        rest = rest - step * pushed
        level = levelled(rest)
        before, energy = energy, float(rest @ level)
        way = level + energy / before * way
    return taps


def sounded(sound: Floats, taps: NDArray[np.floating]) -> Floats:
    """The sound through the taps, as long as it was, shape (n,)."""
    size = 1 << (len(sound) + len(taps)).bit_length()
    return np.fft.irfft(np.fft.rfft(sound, size) * np.fft.rfft(taps, size), size)[: len(sound)]


def _smoothed(power: Floats) -> Floats:
    sums = np.cumsum(np.pad(power, (SMOOTH_BINS + 1, SMOOTH_BINS), mode="reflect"))
    mean: Floats = np.maximum(sums[2 * SMOOTH_BINS + 1 :] - sums[: -2 * SMOOTH_BINS - 1], 0.0) / (2 * SMOOTH_BINS + 1)
    return mean
