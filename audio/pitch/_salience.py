"""How well each pitch of a grid explains a stretch of sound: a levelled spectrum against combs of harmonics.

Each state is a pitch, ``GRID_CENTS`` apart. Its comb weighs the levelled spectrum at the harmonics and between them, so that f/2
and f/3 (half or two thirds of whose teeth bite on nothing) and 2f and 3f (which have harmonics between their teeth) lose against f.
How much each tooth and valley says at each height is learnt (``_learnt``): logistic regression of the right pitch against all others,
which keeps a clear voice at any spectrum and draws the most from a faint one.

Levelling is against ``_floor``, the noise, and ``_tail``, the room: each bin counts by how far it stands out of them; a little above
them by its power, as the likelihood of a line in noise grows, and above KNEE with a fourth root, so that a formant on the second
harmonic, the classical octave trap, is one tooth among many, and a band full of noise has no say. Where there is neither, a bin must stand
out of a share of the power around it: a neighbour 20 dB softer than the singer would else have as many harmonics to count.

The levelled spectrum and the combs are small integers held in float32 and their sums stay under 2**24: the matrix
product is exact, so neither the batch's shape nor the machine's BLAS can change a bit of it. Everything else here is
sums in a fixed order, products and square roots, for the same reason.

Sources: combs with negative lobes, Camacho & Harris (2008), JASA 124(3); levelling against smoothed spectra, Gonzalez &
Brookes (2014), IEEE/ACM TASLP 22(2); regression over many classes, Bishop (2006), section 4.3.4. All from memory, and none is followed
to the letter. The numbers below were chosen on the development seeds of ``tests/bench/pitch``.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from audio.compiled import Step
from audio.pitch._floor import Floor, mean_around
from audio.pitch._learnt import PITCHES_HZ, REST, TEETH
from audio.pitch._tail import Tail
from audio.units import RATE_HZ, hz_to_c100

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
Bools = NDArray[np.bool_]
Wholes = NDArray[np.float32]
Bytes = NDArray[np.int8]

WINDOW_FRAMES = 1344  # 56 ms: 3.6 periods of C2
FFT_FRAMES = 2048
BINS = 448  # up to 5.25 kHz
BIN_HZ = RATE_HZ / FFT_FRAMES
GRID_CENTS = 20
SILENCE = 1e-7  # less is what a resampler rounds
TOOTH_WINDOWS = 1.2  # width of a tooth, in widths of the window's own line
NARROWEST_TOOTH = 0.03  # in harmonics
LOWEST_SEEN = 0.2
LARGEST_WEIGHT = 127.0
KNEE, SLOPE = 10.0, 0.12  # up to so many times the floor a bin counts by its power, as in noise it should
LARGEST_LEVELLED = 255
UNIT = 64.0  # levelled spectrum, in integers
LOUD_BINS = 30  # 280 Hz to each side: between two harmonics of all but the highest voices
DROWNED = 0.02  # of the mean power there: 30 dB under a lone harmonic, 25 under several
UNSUNG_BINS = 4  # up to 41 Hz: a constant offset or a rumble is nobody's harmonic
TAIL_SAYS = 0.9  # of how far a bin stands out, what stands out of the tail
PIECE = 64
FEW_HOPS = 6  # more of them cost less in larger pieces
ONE_THREAD_PRODUCTS = (
    PIECE**3
)  # OpenBLAS keeps a matrix product of up to 65536 * 4 multiplications on its caller's thread

_NOTHING_KNOWN = np.empty((0, BINS))
_WINDOW_INDEX = np.arange(WINDOW_FRAMES)
_WINDOW = np.hanning(WINDOW_FRAMES + 1)[:-1]
KNOWN_SCALE = (
    0.75 * float(_WINDOW.sum()) ** 2
)  # from a tone's top in a Hann spectrum whose bins sum to its power to its top here
_LEARNT = np.concatenate((np.reshape(TEETH, (-1, len(PITCHES_HZ))), REST)).astype(np.float64)


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
        self.cents, self._combs, self._teeth, self._scale = _grid(hz_to_c100(lowest_hz), hz_to_c100(highest_hz))
        self._floor = Floor(WINDOW_FRAMES / FFT_FRAMES, BINS)
        self._tail = Tail(BINS)
        self._padded = np.zeros((0, FFT_FRAMES))  # a transform of rows that are padded already is a quarter faster

    def strengths(self, frames: Floats, first_hop: int, known: Floats | None = None) -> Floats:
        """Strength of each state, shape (hops, states); noise alone gives about 0 +- 0.5, a clear voice 5 and more.

        Parameters
        ----------
        frames : float64 array, shape (hops, WINDOW_FRAMES)
        first_hop : int
            Number of the first of these hops; the noise floor moves on at numbers that divide by four.
        known : float64 array, shape (hops, BINS), or None
            See ``audio.pitch.Besides``.
        """
        out = np.empty((len(frames), len(self.cents)))
        self.hear(frames.ravel(), 0, WINDOW_FRAMES, first_hop, known, out, np.empty(len(frames)))
        return out

    def hear(
        self, sound: Floats, first: int, step: int, first_hop: int, known: Floats | None, out: Floats, keeps: Floats
    ) -> None:
        """The same of the windows of *sound* that begin at *first* and every *step* frames after it, into the rows of *out*.

        Into *keeps*, shape (hops,), the share that the room keeps, as far as ``_tail`` has learnt it.
        """
        bins, sounds = self._spectra(sound, first, step, len(out))
        STRENGTHS.now(
            bins,
            sounds,
            first_hop,
            self._combs,
            self._teeth,
            self._scale,
            self._floor.spread,
            self._floor.level,
            self._floor.counts,
            self._tail.past,
            self._tail.far,
            self._tail.keeps,
            self._tail.at,
            _NOTHING_KNOWN if known is None else np.ascontiguousarray(known),
            out,
            keeps,
        )

    def levelled(self, frames: Floats, first_hop: int, known: Floats | None = None) -> Wholes:
        """How far each bin stands out of noise and tail, whole numbers, shape (hops, BINS); parameters as of ``strengths``."""
        bins, sounds = self._spectra(frames.ravel(), 0, WINDOW_FRAMES, len(frames))
        besides = _NOTHING_KNOWN if known is None else known
        return _whole_levels(bins, sounds, first_hop, self._floor, self._tail, besides)[0]

    def peaks(self, strengths: Floats, states: Integers) -> tuple[Floats, Floats]:
        """Cents of the peak at or next to each hop's state, read between the grid's pitches, and the state's strength; shape (hops,)."""
        cents, strength = out = np.empty((2, len(states)))
        PEAKS.now(strengths, states, self.cents, out)
        return cents, strength

    def _spectra(self, sound: Floats, first: int, step: int, hops: int) -> tuple[Floats, Bools]:
        """Spectra, real and imaginary parts one beside the other, and where sound, be it the faintest, has reached the middle."""
        if len(self._padded) < hops:
            self._padded = np.zeros((hops, FFT_FRAMES))
        padded, sounds = self._padded[:hops], np.empty(hops, dtype=np.bool_)
        WINDOWED.now(sound, first, step, _WINDOW, padded, sounds)
        return np.fft.rfft(padded).view(np.float64), sounds


def _windowed(sound: Floats, first: int, step: int, window: Floats, out: Floats, sounds: Bools) -> None:
    """Windowed sound into the rows of *out*, and whether there is any up to the middle."""
    frames = sound.take(first + step * np.arange(len(out))[:, None] + _WINDOW_INDEX)
    np.multiply(frames, window, out=out[:, :WINDOW_FRAMES])
    sounds[:] = np.abs(frames[:, : WINDOW_FRAMES // 2 + 1]).max(axis=1) > SILENCE


def _strengths(
    bins: Floats,
    sounds: Bools,
    first_hop: int,
    combs: Wholes,
    teeth: Bytes,
    scale: Floats,
    spread: Floats,
    level: Floats,
    counts: Integers,
    past: Floats,
    far: Bools,
    keeps: Floats,
    at: Integers,
    known: Floats,
    out: Floats,
    kept: Floats,
) -> None:
    """Strengths of these spectra into *out*, what the room keeps into *kept*.

    From *spread* to *at*: parts of floor and tail, changed in place. *known* may have no rows.
    """
    noise, tail = Floor.of(spread, level, counts), Tail.of(past, far, keeps, at)
    whole, kept[:] = _whole_levels(bins, sounds, first_hop, noise, tail, known)
    np.multiply(_exact_product(whole, combs), scale, out=out)


def _whole_levels(
    bins: Floats, sounds: Bools, first_hop: int, noise: Floor, tail: Tail, known: Floats
) -> tuple[Wholes, Floats]:
    spectrum = bins[:, : 2 * BINS]
    power = spectrum[:, ::2] ** 2 + spectrum[:, 1::2] ** 2 + 1e-12  # a rounding error of 24 bits is near 1e-11
    floor = noise.under(power, first_hop, sounds)
    if len(known):
        floor = np.maximum(floor, KNOWN_SCALE * known)
    room, keeps = tail.under(power, floor, first_hop)
    sung = power.copy()
    sung[:, :UNSUNG_BINS] = 0.0
    floor = np.maximum(floor, DROWNED * mean_around(sung, LOUD_BINS))
    under = np.stack((floor, np.maximum(floor, room)))
    dry, wet = _levelled(power, under)
    whole: Wholes = np.rint(dry + TAIL_SAYS * (wet - dry)).astype(np.float32)
    return whole, keeps


def _peaks(strengths: Floats, states: Integers, cents: Floats, out: Floats) -> None:
    """Into the rows of *out*: the peak's cents, and the strength of the state."""
    last = len(cents) - 2
    rows = np.arange(len(states))
    at = np.minimum(np.maximum(states, 1), last)
    up = strengths[rows, at + 1] > strengths[rows, at]
    down = ~up & (strengths[rows, at - 1] > strengths[rows, at])
    at = np.minimum(np.maximum(at + up - down, 1), last)
    low, middle, high = (strengths[rows, at + k] for k in (-1, 0, 1))
    bend = low - 2.0 * middle + high
    shift = np.where(bend < 0.0, 0.5 * (low - high) / np.where(bend < 0.0, bend, 1.0), 0.0)
    out[0] = cents[at] + GRID_CENTS * np.minimum(np.maximum(shift, -1.0), 1.0)
    out[1] = strengths[rows, states]


def _levelled(power: Floats, floor: Floats) -> Floats:
    over = power / floor
    loud = KNEE * SLOPE + np.sqrt(np.sqrt(1.0 + np.maximum(over, KNEE))) - math.sqrt(math.sqrt(1.0 + KNEE))
    levelled: Floats = np.minimum(UNIT * np.where(over < KNEE, SLOPE * over, loud), LARGEST_LEVELLED)
    return levelled


def _exact_product(whole: Wholes, combs: Wholes) -> Wholes:
    """Product of matrices of small integers, shape (hops, states), in pieces too small for BLAS to wake threads for.

    Threads win nothing here, and one that has to wait for a busy core costs 5 ms and more, measured. Any order of summing
    gives the same integers.
    """
    hops, states = len(whole), combs.shape[1]
    if hops <= FEW_HOPS and 2 * combs.size <= ONE_THREAD_PRODUCTS:
        # two rows even for a last one: a product with one row is another BLAS routine, with a far lower limit
        even = whole if hops % 2 == 0 else np.concatenate((whole, whole[-1:]))
        pairs = [even[row : row + 2] @ combs for row in range(0, hops, 2)]
        return pairs[0][:hops] if len(pairs) == 1 else np.concatenate(pairs)[:hops]
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
def _grid(lowest_c100: int, highest_c100: int) -> tuple[Floats, Wholes, Bytes, Floats]:
    """Cents of the states, their combs (BINS, states), twice, and the factor to each strength. Made once for each range."""
    count = (highest_c100 - lowest_c100) // (100 * GRID_CENTS) + 2
    cents = lowest_c100 / 100.0 + GRID_CENTS * np.arange(-1, count + 1, dtype=np.float64)
    f0_hz = 440.0 * 2.0 ** ((cents - 6900.0) / 1200.0)
    combs = np.array([_comb(f0) for f0 in f0_hz.tolist()])
    largest = np.abs(combs).max(axis=1)
    whole = np.array([_whole(comb) for comb in combs / largest[:, None] * LARGEST_WEIGHT])
    combs = np.ascontiguousarray(whole.T, dtype=np.float32)  # BLAS knows no smaller numbers
    return cents, combs, combs.astype(np.int8), largest / (LARGEST_WEIGHT * UNIT)


def _whole(weights: Floats) -> Floats:
    """Weights that sum to 0, as whole numbers that do: else silence would add up to a pitch; shape (BINS,)."""
    whole = np.rint(weights)
    over = round(float(whole.sum()))
    worst = np.argsort((weights - whole) * np.sign(over), kind="stable")[: abs(over)]
    whole[worst] -= np.sign(over)
    return whole


def _comb(f0_hz: float) -> Floats:
    """Weights over the bins for one pitch, shape (BINS,), summing to 0 over those that it looks at."""
    weights: Floats = ((_LEARNT @ shares(f0_hz))[:, None] * shapes(f0_hz)).sum(axis=0) / 100.0
    return weights


def shares(f0_hz: float) -> Floats:
    """How much of each column of ``_learnt`` a pitch takes: its two neighbours', linear in the octave; shape (pitches,)."""
    number = np.arange(len(PITCHES_HZ))
    return np.maximum(0.0, 1.0 - np.abs(np.interp(np.log2(f0_hz), np.log2(PITCHES_HZ), number) - number))


def shapes(f0_hz: float) -> Floats:
    """What a comb of one pitch is made of, in the order of ``_learnt``; shape (rows there, BINS), 0 for teeth that are too high.

    Each sums to 0 over the bins that the comb looks at, so that a band full of noise says nothing.
    """
    place = np.arange(BINS) * BIN_HZ / f0_hz
    width = max(TOOTH_WINDOWS * RATE_HZ / WINDOW_FRAMES / f0_hz, NARROWEST_TOOTH)
    highest = min((BINS - 1) * BIN_HZ / f0_hz - 0.5, len(TEETH) + 0.5)
    number = np.arange(1, min(len(TEETH), int(highest)) + 1)
    out = np.zeros((len(_LEARNT), BINS))
    teeth = out[: 4 * len(number)].reshape(len(number), 4, BINS)
    for kind, off, wide in (
        (0, 0.0, 1.0),
        (1, -0.9 * width, 0.8),
        (1, 0.9 * width, 0.8),
        (2, -0.5, 1.0),
        (3, -1 / 3, 1.0),
        (3, -2 / 3, 1.0),
    ):
        away = (place - (number + off)[:, None]) / (width * wide)
        teeth[:, kind] += np.exp(-2.0 * away * away)
    out[-3] = np.exp(-2.0 * ((place - 0.25) / width) ** 2)
    out[-2], out[-1] = place < 1.5, place < 4.5
    seen = (place > LOWEST_SEEN) & (place < min(highest, len(TEETH)) + 0.5)
    out *= seen
    centred: Floats = out - seen * (out.sum(axis=1, keepdims=True) / seen.sum())
    return centred


WINDOWED = Step(_windowed, "audio.pitch.compiled", "windowed")
STRENGTHS = Step(_strengths, "audio.pitch.compiled", "strengths")
PEAKS = Step(_peaks, "audio.pitch.compiled", "peaks")
