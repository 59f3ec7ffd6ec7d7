"""How well each pitch of a grid explains a stretch of sound: a levelled spectrum against combs of harmonics.

Each state is a pitch, ``GRID_CENTS`` apart. Its comb adds the levelled spectrum at the harmonics, falling as 1 / sqrt(l),
and takes off what lies between them, most of all halfway, so that f/2 and f/3 (half or two thirds of whose teeth bite on
nothing) and 2f and 3f (which have harmonics between their teeth) lose against f.

Levelling is against ``_floor``, the noise, and ``_tail``, the room: each bin counts by how far it stands out of them, with a fourth
root, so that a formant on the second harmonic, the classical octave trap, is one tooth among many, and a band full of noise
has no say.

The levelled spectrum and the combs are small integers held in float32 and their sums stay under 2**24: the matrix
product is exact, so neither the batch's shape nor the machine's BLAS can change a bit of it. Everything else here is
sums in a fixed order, products and square roots, for the same reason.

Sources: combs with negative lobes, Camacho & Harris (2008), JASA 124(3); levelling against smoothed spectra, Gonzalez &
Brookes (2014), IEEE/ACM TASLP 22(2). Both from memory, and neither is followed to the letter. The numbers below were
chosen on the development seeds of ``tests/bench/pitch``.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from audio.pitch._floor import Floor
from audio.pitch._tail import Tail
from audio.units import RATE_HZ, hz_to_c100

Floats = NDArray[np.float64]
Integers = NDArray[np.float32]

WINDOW_FRAMES = 1344  # 56 ms: 3.6 periods of C2
FFT_FRAMES = 2048
BINS = 448  # up to 5.25 kHz
BIN_HZ = RATE_HZ / FFT_FRAMES
GRID_CENTS = 20
MOST_TEETH = 20
TOOTH_WINDOWS = 1.2  # width of a tooth, in widths of the window's own line
GAP = 0.1  # depth of the valley halfway between two teeth: an octave above the pitch has harmonics there
THIRD = 0.15  # and of the one a third of the way to the first tooth, where a twelfth above has the fundamental
VALLEYS_FROM_HZ, VALLEYS_ABOVE_HZ = (
    70.0,
    50.0,
)  # below, the window's own lines fill the valleys; deepest after so many more
THIRD_FROM_HZ = 150.0
LOW_VOICE_LEAN = 0.2  # strengths rise as f0**-0.2: a low voice shows more harmonics and so more noise between them
LARGEST_LEVELLED = 255  # 28 dB above the floor
UNIT = 64.0  # levelled spectrum, in integers
TAIL_SAYS = 0.9  # of how far a bin stands out, what stands out of the tail
PIECE = 64
ONE_THREAD_PRODUCTS = (
    PIECE**3
)  # OpenBLAS keeps a matrix product of up to 65536 * 4 multiplications on its caller's thread

_WINDOW = np.hanning(WINDOW_FRAMES + 1)[:-1]


class Salience:
    """Strengths of the pitches of one stream.

    Parameters
    ----------
    lowest_hz, highest_hz : float
        Range of the grid; the grid goes one state beyond at each end.

    Attributes
    ----------
    cents : float64 array, shape (states,)
        The grid, above C-1.
    """

    def __init__(self, lowest_hz: float, highest_hz: float) -> None:
        self.cents, self._combs, self._scale = _grid(hz_to_c100(lowest_hz), hz_to_c100(highest_hz))
        self._floor = Floor(WINDOW_FRAMES / FFT_FRAMES)
        self._tail = Tail(BINS)

    def strengths(self, frames: Floats, first_hop: int) -> Floats:
        """Strength of each state, shape (hops, states); noise alone gives about 0 +- 0.5, a clear voice 5 and more.

        Parameters
        ----------
        frames : float64 array, shape (hops, WINDOW_FRAMES)
        first_hop : int
            Number of the first of these hops; the noise floor moves on at numbers that divide by four.
        """
        spectrum = np.fft.rfft(frames * _WINDOW, FFT_FRAMES)[:, :BINS]
        power = spectrum.real**2 + spectrum.imag**2 + 1e-12  # a rounding error of 24 bits is near 1e-11
        floor = self._floor.under(power, first_hop)
        dry = _levelled(power, floor)
        wet = _levelled(power, np.maximum(floor, self._tail.under(power, floor, first_hop)))
        whole = np.rint(dry + TAIL_SAYS * (wet - dry)).astype(np.float32)
        strength: Floats = _exact_product(whole, self._combs).astype(np.float64) * self._scale
        return strength

    def peaks(self, strengths: Floats, states: NDArray[np.intp]) -> Floats:
        """Cents of the peak at or next to each hop's state, read between the grid's pitches, shape (hops,)."""
        last = len(self.cents) - 2
        rows = np.arange(len(states))
        at = np.minimum(np.maximum(states, 1), last)
        up = strengths[rows, at + 1] > strengths[rows, at]
        down = ~up & (strengths[rows, at - 1] > strengths[rows, at])
        at = np.minimum(np.maximum(at + up - down, 1), last)
        low, middle, high = (strengths[rows, at + k] for k in (-1, 0, 1))
        bend = low - 2.0 * middle + high
        shift = np.where(bend < 0.0, 0.5 * (low - high) / np.where(bend < 0.0, bend, 1.0), 0.0)
        peak: Floats = self.cents[at] + GRID_CENTS * np.minimum(np.maximum(shift, -1.0), 1.0)
        return peak


def _levelled(power: Floats, floor: Floats) -> Floats:
    levelled: Floats = np.minimum(UNIT * (np.sqrt(np.sqrt(1.0 + power / floor)) - 1.0), LARGEST_LEVELLED)
    return levelled


def _exact_product(whole: Integers, combs: Integers) -> Integers:
    """Product of matrices of small integers, shape (hops, states), in pieces too small for BLAS to wake threads for.

    Threads win nothing here, and one that has to wait for a busy core costs 5 ms and more, measured. Any order of summing
    gives the same integers.
    """
    hops, states = len(whole), combs.shape[1]
    if hops <= 2 and 2 * combs.size <= ONE_THREAD_PRODUCTS:
        # two rows even for one: a product with one row is another BLAS routine, with a far lower limit
        return ((whole if hops == 2 else np.concatenate((whole, whole))) @ combs)[:hops]
    out = np.zeros((hops, states), dtype=np.float32)
    for row in range(0, hops, PIECE):
        for bin_ in range(0, BINS, PIECE):
            part = whole[row : row + PIECE, bin_ : bin_ + PIECE]
            for state in range(0, states, PIECE):
                out[row : row + PIECE, state : state + PIECE] += (
                    part @ combs[bin_ : bin_ + PIECE, state : state + PIECE]
                )
    return out


@lru_cache(maxsize=16)
def _grid(lowest_c100: int, highest_c100: int) -> tuple[Floats, Integers, Floats]:
    """Cents of the states, their combs (BINS, states), and the factor to each strength. Made once for each range."""
    count = (highest_c100 - lowest_c100) // (100 * GRID_CENTS) + 2
    cents = lowest_c100 / 100.0 + GRID_CENTS * np.arange(-1, count + 1, dtype=np.float64)
    f0_hz = 440.0 * 2.0 ** ((cents - 6900.0) / 1200.0)
    combs = np.array([_comb(f0) for f0 in f0_hz])
    # equal energy: noise gives no pitch an advantage
    scale = (f0_hz / 220.0) ** -LOW_VOICE_LEAN / (UNIT * np.sqrt((combs**2).sum(axis=1)))
    return cents, np.ascontiguousarray(combs.T, dtype=np.float32), scale


def _comb(f0_hz: float) -> Floats:
    """Integer weights over the bins for one pitch, shape (BINS,), summing to about 0 over each tooth's cell."""
    place = np.arange(BINS) * BIN_HZ / f0_hz
    teeth = int(min(MOST_TEETH, (BINS - 1) * BIN_HZ / f0_hz - 0.5))
    width = max(TOOTH_WINDOWS * RATE_HZ / WINDOW_FRAMES / f0_hz, 0.03)
    gap = GAP * min(max((f0_hz - VALLEYS_FROM_HZ) / VALLEYS_ABOVE_HZ, 0.0), 1.0)
    weights = np.zeros(BINS)

    def bump(cell: NDArray[np.bool_], centre: float) -> Floats:
        shape: Floats = np.exp(-2.0 * ((place[cell] - centre) / width) ** 2)
        return shape

    for tooth in range(1, teeth + 1):
        cell = np.abs(place - tooth) <= 0.5
        shape = bump(cell, tooth) - gap * (bump(cell, tooth - 0.5) + bump(cell, tooth + 0.5))
        weights[cell] = (shape - shape.mean()) / np.sqrt(tooth)
    if f0_hz > THIRD_FROM_HZ:
        cell = (place > 0.2) & (place < 0.5)
        shape = bump(cell, 1 / 3)
        weights[cell] -= THIRD * (shape - shape.mean())
    whole: Floats = np.rint(weights / np.abs(weights).max() * 127.0)
    return whole
