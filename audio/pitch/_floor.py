"""The noise under a voice, bin by bin.

In one hop never less than what the strongest bin's own line spreads: after digital silence there is nothing else, and the
window's sidelobes would count as harmonics, and its line as flat and as wide as a semitone.

Else, in one frame: the mean fourth root of the power over a neighbourhood, which few loud harmonics hardly raise. Over time:
the level that this stays under for a seventh of the time, followed by small steps up and larger steps down, so that a
held note does not become noise and a ventilator does. It begins with the mean of the first sound's hops: the digital silence of a
track's lead-in says nothing of the noise that is to come.

Source: quantile tracking by steps, Robbins & Monro (1951); noise from low quantiles of a voice's spectrum, Stahl,
Fischer & Bippus (2000), ICASSP (from memory).
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Counts = NDArray[np.int64]

HALF_BINS = 14  # 164 Hz to each side: one harmonic of a bass in each direction
ROOT_OF_NOISE = 0.675  # (mean of power**0.25)**4 / mean of power, for noise: gamma(5/4)**4
HOPS_A_STEP = 4
QUANTILE = 0.15
STEP = 0.1  # nepers of power; up 3.3 dB a second, down 18
TONE = 30.0  # the strongest bin, in floors; no noise does that, and a tone says little of the noise under it
HOPS_TO_BEGIN = 12  # a window of 56 ms, all of it of the stream
QUICK_STEPS = 25  # the first half second
QUICK = 5.0
LEAST_OF_FRAME = 0.1  # of the frame's own estimate, for noise that began a moment ago
SHADOW = 4.0  # times the highest sidelobe of a steady tone, for those that move
LARGEST_SHADOW = 1.0 / 700.0  # within the line itself: its top stays below where _salience levels off
LEAST_SHADOW = 3e-7  # far away: the resampler lets images of a tone through at -70 dB
LINE_EDGE = 1.5  # in lines

UP, DOWN = math.exp(STEP * QUANTILE), math.exp(-STEP * (1.0 - QUANTILE))  # the level's steps
QUICK_UP, QUICK_DOWN = math.exp(STEP * QUICK * QUANTILE), math.exp(-STEP * QUICK * (1.0 - QUANTILE))


class Floor:
    """The noise under one stream.

    Parameters
    ----------
    lines_a_bin : float
        Distance of two bins, in units of 1 / the length of the Hann window that they were taken with.
    bins : int

    Attributes
    ----------
    spread : float64 array, shape (2 * bins - 1,)
    level : float64 array, shape (bins,)
        The level so far, changed in place.
    counts : int64 array, shape (2,)
        Hops since the first sound, while it begins, and steps since then; changed in place.
    """

    def __init__(self, lines_a_bin: float, bins: int) -> None:
        self.spread, self.level, self.counts = _spread(bins, lines_a_bin), np.zeros(bins), np.zeros(2, dtype=np.int64)

    @classmethod
    def of(cls, spread: Floats, level: Floats, counts: Counts) -> Floor:
        """The one that these belong to."""
        floor = cls.__new__(cls)
        floor.spread, floor.level, floor.counts = spread, level, counts
        return floor

    def under(self, power: Floats, first_hop: int, sounds: Bools) -> Floats:
        """Power of the noise, shape (hops, bins), under these spectra.

        Parameters
        ----------
        power : float64 array, shape (hops, bins), > 0
        first_hop : int
            Number of the first hop since the stream began.
        sounds : bool array, shape (hops,)
            Where sound, be it the faintest, has reached the window's centre.
        """
        now = mean_around(np.sqrt(np.sqrt(power)), HALF_BINS) ** 2
        now = now**2 / ROOT_OF_NOISE
        out = np.empty_like(now)
        level = self.level
        begun, steps = self.counts.tolist()
        for hop, heard in enumerate(sounds.tolist()):
            if begun < HOPS_TO_BEGIN:
                # digital silence counts for nothing, but there must be something to divide by
                own = now[hop] * (LEAST_OF_FRAME if float((power[hop] / now[hop]).max()) > TONE else 1.0)
                level = own if begun == 0 else level + (own - level) / (begun + 1)
                begun += heard or begun > 0
            elif (first_hop + hop) % HOPS_A_STEP == 0:
                down, up = (QUICK_DOWN, QUICK_UP) if steps < QUICK_STEPS else (DOWN, UP)
                steps += 1
                level = np.where(now[hop] > level, level * up, np.maximum(level * down, now[hop]))
            out[hop] = level
        self.level[:] = level
        self.counts[:] = begun, steps
        return np.maximum(np.maximum(out, LEAST_OF_FRAME * now), self._shadow(power))

    def _shadow(self, power: Floats) -> Floats:
        """What the window spreads from each hop's strongest bin, shape (hops, bins)."""
        hops, bins = power.shape
        strongest = power.argmax(axis=1)
        spread = self.spread.take((bins - 1 - strongest)[:, None] + np.arange(bins))
        shadow: Floats = spread * power[np.arange(hops), strongest][:, None]
        return shadow


@lru_cache(maxsize=4)
def _spread(bins: int, lines_a_bin: float) -> Floats:
    """Share of a tone's power counted as its own shadow so many bins away, shape (2 * bins - 1,).

    The envelope of the Hann window's sidelobes: Harris (1978), Proc. IEEE 66(1), from memory.
    """
    away = np.maximum(np.abs(np.arange(1 - bins, bins)) * lines_a_bin, LINE_EDGE)
    envelope = SHADOW / (np.pi * away * (away**2 - 1.0)) ** 2
    return np.minimum(np.maximum(envelope, LEAST_SHADOW), LARGEST_SHADOW)


def mean_around(values: Floats, half: int) -> Floats:
    """Mean over so many bins to each side, shape as given, mirrored at both ends."""
    wide = np.concatenate((values[:, half:0:-1], values, values[:, -2 : -half - 2 : -1]), axis=1)
    width = 2 * half + 1
    sums = np.cumsum(wide, axis=1)
    inner = sums[:, width - 1 :].copy()
    inner[:, 1:] -= sums[:, :-width]
    mean: Floats = np.maximum(inner, 0.0) / width
    return mean
