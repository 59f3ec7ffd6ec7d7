"""Which pitches could a stretch of sound have? A spectrum, levelled, against combs of harmonics.

Each state is a pitch, ``GRID_CENTS`` apart. Its comb adds the spectrum at the harmonics, falling as 1 / sqrt(l), and takes
off the spectrum between them, so that f/2, f/3 (half or two thirds of whose teeth bite on nothing) and 2f, 3f (which
have harmonics between their teeth) lose against f. Before that the spectrum is divided by its own envelope: a formant
on the second harmonic, the classical octave trap, is then one tooth among many.

The levelled spectrum and the combs are small integers held in float32, and their sums stay under 2**24: the matrix
product is exact, so neither the batch's shape nor the machine's BLAS can change a bit of it.

Sources: combs with negative lobes, Camacho & Harris (2008), JASA 124(3); levelling by a smoothed spectrum, Gonzalez &
Brookes (2014), IEEE/ACM TASLP 22(2). Both from memory, and neither is followed to the letter.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from audio.units import RATE_HZ, hz_to_c100

Floats = NDArray[np.float64]

WINDOW_FRAMES = 1344  # 56 ms: 3.6 periods of C2
FFT_FRAMES = 2048
BINS = 448  # up to 5.25 kHz
BIN_HZ = RATE_HZ / FFT_FRAMES
GRID_CENTS = 15
CANDIDATES = 8
MOST_TEETH = 20
ENVELOPE_HALF_BINS = 24  # 280 Hz to each side
LARGEST_LEVELLED = 255


class Salience:
    """Candidate pitches of windows.

    Parameters
    ----------
    lowest_hz, highest_hz : float
        The range of the candidates.
    """

    def __init__(self, lowest_hz: float, highest_hz: float) -> None:
        lowest_cents = hz_to_c100(lowest_hz) / 100.0
        count = int((hz_to_c100(highest_hz) / 100.0 - lowest_cents) // GRID_CENTS) + 1
        # one state more at each end, so that a pitch on the limit is still a peak
        self.cents = lowest_cents + GRID_CENTS * np.arange(-1, count + 1, dtype=np.float64)
        f0_hz = 440.0 * 2.0 ** ((self.cents - 6900.0) / 1200.0)
        self._window = np.hanning(WINDOW_FRAMES + 1)[:-1]
        combs = np.array([_comb(f0) for f0 in f0_hz])
        self._combs = np.ascontiguousarray(combs.T, dtype=np.float32)
        self._scale = 1.0 / (np.sqrt((combs**2).sum(axis=1)) * 64.0)
        # a flat spectrum of rough noise must give no pitch an advantage

    def strengths(self, frames: Floats) -> Floats:
        """Strength of each state, shape (hops, states); noise alone gives about 0 +- 1.

        Parameters
        ----------
        frames : float64 array, shape (hops, WINDOW_FRAMES)
        """
        spectrum = np.fft.rfft(frames * self._window, FFT_FRAMES)[:, :BINS]
        power = spectrum.real**2 + spectrum.imag**2
        levelled = np.sqrt(power / (_envelope(power) + 1e-12))
        whole = np.minimum(np.rint(levelled * 64.0), LARGEST_LEVELLED).astype(np.float32)
        strength: Floats = (whole @ self._combs).astype(np.float64) * self._scale
        return strength

    def candidates(self, frames: Floats) -> tuple[Floats, Floats]:
        """The ``CANDIDATES`` strongest peaks of each window: cents above C-1 and strengths, each (hops, CANDIDATES)."""
        strength = self.strengths(frames)
        left, middle, right = strength[:, :-2], strength[:, 1:-1], strength[:, 2:]
        is_peak = (middle >= left) & (middle > right)
        peaks = np.where(is_peak, middle, -np.inf)
        rows = np.arange(len(peaks))
        cents = np.empty((len(peaks), CANDIDATES))
        height = np.empty((len(peaks), CANDIDATES))
        for rank in range(CANDIDATES):
            best = peaks.argmax(axis=1)
            low, mid, high = left[rows, best], middle[rows, best], right[rows, best]
            bend = low - 2.0 * mid + high
            shift = np.where(bend < 0.0, 0.5 * (low - high) / np.where(bend < 0.0, bend, 1.0), 0.0)
            cents[:, rank] = self.cents[1:-1][best] + GRID_CENTS * np.clip(shift, -0.5, 0.5)
            height[:, rank] = np.where(np.isfinite(peaks[rows, best]), mid, -10.0)
            peaks[rows, best] = -np.inf
        return cents, height


def _envelope(power: Floats) -> Floats:
    """Mean power over ``ENVELOPE_HALF_BINS`` to each side, the spectrum mirrored at its ends."""
    half = ENVELOPE_HALF_BINS
    wide = np.concatenate((power[:, half:0:-1], power, power[:, -2 : -half - 2 : -1]), axis=1)
    sums = np.cumsum(wide, axis=1)
    width = 2 * half + 1
    inner = sums[:, width - 1 :].copy()
    inner[:, 1:] -= sums[:, :-width]
    mean: Floats = np.maximum(inner, 0.0) / width
    return mean


def _comb(f0_hz: float) -> Floats:
    """Integer weights over the bins for one pitch, shape (BINS,), summing to about 0 over each tooth's cell."""
    place = np.arange(BINS) * BIN_HZ / f0_hz
    teeth = int(min(MOST_TEETH, (BINS - 1) * BIN_HZ / f0_hz - 0.5))
    spread = np.maximum(1.1 * RATE_HZ / WINDOW_FRAMES / f0_hz, 0.06)  # tooth's half-width in harmonics
    weights = np.zeros(BINS)
    for tooth in range(1, teeth + 1):
        cell = np.abs(place - tooth) <= 0.5
        off = place[cell] - tooth
        bump = np.exp(-0.5 * (off / (0.5 * spread)) ** 2)
        weights[cell] = (bump - bump.mean()) / np.sqrt(tooth)
    whole: Floats = np.rint(weights / np.abs(weights).max() * 127.0)
    return whole
