"""How much of our own sound the filter leaves, told while somebody sings; and what may be learnt from.

In each spectrum the ratio of what was left to what was taken away is looked at where our own sound is strong and the harmonics of the
strongest voice in what was left are not: a singer in tune with a played voice is no evidence of anything. A low quantile of those
ratios, low again over two seconds, is what the filter leaves at least; consonants, vibrato and breath only raise the ratios.

Where the filter leaves no more than it used to, bins that hold more than that are the singer's, and nothing is learnt from them. Where
it leaves far more in spite of the singer, the room has changed (a laptop was moved), and everything is learnt from until it has settled.

All numbers are our own, by simulation on the development rooms of ``tests/bench/pitch/bleed.py``.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from audio.canceller._filter import BINS as FILTER_BINS
from audio.canceller._filter import BLOCK_FRAMES, TAPS
from audio.canceller._foretold import Expected
from audio.canceller._spectra import BIN_HZ, BINS, HOP_FRAMES, WINDOW_FRAMES, Spectra, power
from audio.compiled import Step
from audio.units import RATE_HZ

Floats = NDArray[np.floating]

FILTER_HOPS = TAPS // HOP_FRAMES
"""A filter's errors ring as long as the filter, whatever the room does."""

_MEAN = np.full(FILTER_HOPS, 1.0 / FILTER_HOPS, np.float32)

RESPONSE_HOPS = 47
"""A room's response is looked at again every second."""

RING_SECONDS = 0.5
"""After that a room's tail is taken to fall 60 dB in so long."""

SPREAD_BINS, SPREAD = 16, 0.03
"""What a loudspeaker's bending puts beside its own tones: a share of the mean over 190 Hz to each side."""

LOUD = 1e-3
"""Bins of our own sound down to 30 dB under the loudest count as evidence."""

STILL = 0.3
"""A tone that only rings on in what is expected says nothing."""

LOUDER_THAN_NOTHING = 1e-12

EVIDENCE_HZ = (70.0, 4_000.0)
FEWEST_BINS = 12
QUANTILE = 0.25
OF_QUANTILE = -1.0 / np.log(1.0 - QUANTILE)  # from the quantile of an exponential distribution to its mean
VOICE_BINS = 2.5  # to each side of a harmonic, the window's own width

LEAST = 0.25
"""Good moments do not make a room known by more than 6 dB better than it was tried; one that was learnt from music and not tried is never
known better, since tones learnt one after another undo each other."""

UNTRIED_DB = -9.0
"""What is taken to be left where nobody tried."""

KNOWN_BETTER = np.float32(0.15)
REMEMBERED = 94  # hops, two seconds
ENOUGH = 32
LOW_SHARE = 0.2
SOON = 24
"""Half a second: no consonant lasts so long."""


MOVED, MOST_MOVED, WORSE = 0.008, 0.016, 3.2
"""-21 to -18 dB: a filter that leaves so much, and 5 dB more than when it was learnt, no longer knows the room."""

LOST = 0.12
"""So much is left at least: what is foretold does not fit at all."""

SETTLED = 0.6
"""Of that: it knows it again."""

FREE = 6.0
"""A bin with so much more than our own leavings is the singer's."""

_SEMITONES = np.arange(0.0, 48.0, 0.5)
_HARMONICS = np.arange(1, 11)
TEETH = np.minimum(np.rint(65.0 * 2 ** (_SEMITONES[:, None] / 12) * _HARMONICS / BIN_HZ).astype(np.int64), BINS)
TEETH_WEIGHT = (0.84 ** (_HARMONICS - 1.0)).astype(np.float32)
_TOOTH_BINS = [float(65.0 * 2 ** (semitone / 12) / BIN_HZ) for semitone in _SEMITONES]
_WHERE = np.arange(BINS)
EVIDENCE = (EVIDENCE_HZ[0] / BIN_HZ <= _WHERE) & (EVIDENCE_HZ[1] / BIN_HZ >= _WHERE)
RING = np.float32(10 ** (-6.0 * HOP_FRAMES / RATE_HZ / RING_SECONDS))
BINS_A_FILTER_BIN = WINDOW_FRAMES // (2 * BLOCK_FRAMES)
_TO_FILTER = np.arange(BINS) // BINS_A_FILTER_BIN


UNDER, MOST_UNDER = 8.0, 0.125
"""So many times what is expected is no evidence of a pitch, since tones beat and a low quantile says too little; but never more than this
share of what sounded. On the development seeds of ``tests/bench/pitch/bleed.py`` and ``tests/bench/verdicts``; with half as much the octave
of soft, dark voices is right more often, and notes that were left out are heard in what is left of the same pitch."""


class Leftover:
    """Hears every spectrum; knows what is left, and which bins may teach.

    Parameters
    ----------
    left_db : float
        What the filter left when it was learnt.
    """

    def __init__(self, left_db: float) -> None:
        self.share = 10 ** (left_db / 10)
        self._least = self.share * (LEAST if left_db < UNTRIED_DB else 1.0)
        self.measured = self.share
        self._moved_from = MOVED if left_db >= UNTRIED_DB else min(max(WORSE * self.share, MOVED), MOST_MOVED)
        self.moved, self.lost = self.share > self._moved_from, False
        self.free = np.ones(FILTER_BINS, np.float32)
        self._by_bin = np.full(BINS, self.share, np.float32)
        self._sounded = np.zeros((FILTER_HOPS, BINS), np.float32)
        self._hops = 0
        self._held = np.zeros(BINS, np.float32)
        self._noise = np.full(BINS, np.inf, np.float32)
        self._left, self._ours = np.zeros(BINS, np.float32), np.zeros(BINS, np.float32)
        self._sounds, self._tells = np.zeros(BINS, np.bool_), np.zeros(BINS, np.bool_)
        self._teeth = np.zeros(TEETH.shape, np.float32)
        self._ratios = np.full(REMEMBERED, np.inf)
        self._ratio_count = 0

    def rewind(self) -> None:
        """Frames begin anew; what is known of the room stays."""
        self._sounded[:] = 0.0
        self._held[:] = 0.0

    def hear(self, spectra: Spectra, response: Callable[[], Floats]) -> Expected:
        """One more spectrum; *response* gives the room's power in each bin of the filter, which is asked for now and then."""
        if self._hops % RESPONSE_HOPS == 0:
            self._response = response()[_TO_FILTER]
        now = self._sounded[self._hops % FILTER_HOPS]
        np.multiply(spectra.played, self._response, out=now)
        self._hops += 1
        lasting = _MEAN @ self._sounded
        left, ours, sounds, tells = self._left, self._ours, self._sounds, self._tells
        if HEARD.now(
            spectra.left_bins, now, lasting, self.share, self._held, self._noise, left, ours, sounds, tells, self._teeth
        ):
            ratio = LOW.now(_TOOTH_BINS[int((self._teeth @ TEETH_WEIGHT).argmax())], left, ours, tells)
            if ratio < math.inf:
                self._ratios[self._ratio_count % REMEMBERED] = ratio
                self._ratio_count += 1
                self._weigh(ratio)
        expected, under = np.empty(BINS, np.float32), np.empty(BINS, np.float32)
        KNOWN.now(left, ours, sounds, self._noise, self.share, self._least, self._by_bin, expected, under, self.free)
        return Expected(expected, under)

    def _weigh(self, ratio: float) -> None:
        if ratio < self.share:
            self.share = max(self._least, self.share + 0.1 * (ratio - self.share))
        if self._ratio_count < ENOUGH:
            return
        at = int(LOW_SHARE * min(self._ratio_count, REMEMBERED))
        low = float(np.partition(self._ratios, at)[at])
        self.measured = low
        self.share = max(self.share, low)
        self.moved = low > self._moved_from * (SETTLED if self.moved else 1.0)
        latest = self._ratios[(self._ratio_count - 1 - np.arange(SOON)) % REMEMBERED]
        self.lost = float(np.partition(latest, int(LOW_SHARE * SOON))[int(LOW_SHARE * SOON)]) > LOST


def _heard(
    left_bins: NDArray[np.complex64],
    now: Floats,
    lasting: Floats,
    share: float,
    held: Floats,
    noise: Floats,
    left: Floats,
    ours: Floats,
    sounds: NDArray[np.bool_],
    tells: NDArray[np.bool_],
    teeth: Floats,
) -> bool:
    """What is *left* and what of *ours* sounds, from what sounds *now* and in the mean; whether enough bins tell how much is left.

    If so *teeth* gets what stands at the harmonics of each voice there may be. *noise* is the room's own, where our sound is nothing
    beside it.
    """
    left[:] = power(left_bins)
    held[:] = np.maximum(np.maximum(0.5 * now, lasting), RING * held)
    ours[:] = held + SPREAD * _mean_around(held)
    alone = ours < 1e-2 * left
    noise[:] = np.where(alone, np.minimum(left, noise * np.float32(1.02)), noise)
    sounds[:] = (ours > LOUD * ours.max()) & (now > STILL * ours) & (ours > LOUDER_THAN_NOTHING)
    tells[:] = EVIDENCE & sounds & (share * ours > np.where(np.isfinite(noise), noise, 0.0))
    if np.count_nonzero(tells) < FEWEST_BINS:
        return False
    height = np.sqrt(left)
    peaks = np.zeros(BINS + 1, np.float32)  # the last stands for teeth beyond the spectrum
    peaks[:-1] = height
    peaks[1:-1] = np.maximum(peaks[1:-1], height[:-1])
    peaks[:-2] = np.maximum(peaks[:-2], height[1:])
    teeth[:] = peaks[TEETH]
    return True


def _low(tooth: float, left: Floats, ours: Floats, tells: NDArray[np.bool_]) -> float:
    """What is left against what sounded, low among the bins that tell and no harmonic of *tooth* is near; infinite where too few do."""
    tells = tells & (np.abs(_WHERE - np.rint(_WHERE / tooth) * tooth) > VOICE_BINS)
    if np.count_nonzero(tells) < FEWEST_BINS:
        return math.inf
    ratios = left[tells] / ours[tells]
    at = int(QUANTILE * len(ratios))
    return float(np.partition(ratios, at)[at] * OF_QUANTILE)


def _known(
    left: Floats,
    ours: Floats,
    sounds: NDArray[np.bool_],
    noise: Floats,
    share: float,
    least: float,
    by_bin: Floats,
    expected: Floats,
    under: Floats,
    free: Floats,
) -> None:
    """What is *expected* to be left, what no pitch is made of, and the filter's bins in which nothing else is heard.

    A frequency that has not sounded since the room was learnt is known no better than the room was then.
    """
    ratio = left / np.maximum(ours, np.float32(LOUDER_THAN_NOTHING))
    better = sounds & (ratio < by_bin)
    by_bin[:] = np.maximum(np.where(better, by_bin + KNOWN_BETTER * (ratio - by_bin), by_bin), np.float32(least))
    expected[:] = np.maximum(np.float32(share), by_bin) * ours
    under[:] = np.minimum(np.float32(UNDER) * expected, np.float32(MOST_UNDER) * ours)
    beside = np.where(np.isfinite(noise), noise, left)
    sung = np.asarray((left > FREE * (expected + beside)).reshape(-1, BINS_A_FILTER_BIN).any(axis=1))
    free[:] = not sung[-1]
    free[: len(sung)] = ~sung
    free[1 : len(sung)] *= ~sung[:-1]  # a filter bin lies between two groups of finer ones


HEARD = Step(_heard, "audio.canceller.compiled", "heard")
LOW = Step(_low, "audio.canceller.compiled", "low")
KNOWN = Step(_known, "audio.canceller.compiled", "known")


def _mean_around(values: Floats) -> Floats:
    wide = np.zeros(len(values) + 2 * SPREAD_BINS + 1)
    wide[SPREAD_BINS + 1 : SPREAD_BINS + 1 + len(values)] = values
    sums = np.cumsum(wide)
    return np.asarray((sums[2 * SPREAD_BINS + 1 :] - sums[: -2 * SPREAD_BINS - 1]) / (2 * SPREAD_BINS + 1), np.float32)
