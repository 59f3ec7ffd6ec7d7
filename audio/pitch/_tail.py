"""What a room still sounds of the note before, bin by bin.

The power of a bin ``BACK_HOPS`` ago, times a share that falls to what this room keeps: late reverberation falls evenly, so what was there a
moment ago bounds what of it is still there (Lebart, Boucher & Denbigh 2001, Acta Acustica 87, from memory). How much a room keeps is
heard blindly: of the bins that stood far out of the noise, only one in twenty loses more. A dry voice that changes its note
loses nearly all of its old harmonics, so in a dry room the share is next to nothing and takes nothing away.

Source of the tracking: quantiles by steps, Robbins & Monro (1951). The numbers were chosen on the development seeds of
``tests/bench/pitch``.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

BACK_HOPS = 12  # 60 ms: a window's length
FAR_OUT = 100.0  # of the noise
QUANTILE = 0.05
STEP = 0.5  # nepers of power: up 5 dB a second, down 100
HOPS_A_STEP = 4
LEAST_BINS = 16  # a voice of few harmonics says nothing of a room
START, LEAST, MOST = 0.001, 1e-4, 0.08
GAIN = 5.0  # over what one bin in twenty keeps: most of them keep more


class Tail:
    """The tail under one stream.

    Parameters
    ----------
    bins : int
    """

    def __init__(self, bins: int) -> None:
        self._past = np.zeros((BACK_HOPS, bins))
        self._far = np.zeros((BACK_HOPS, bins), dtype=np.bool_)
        self._keeps = START

    def under(self, power: Floats, noise: Floats, first_hop: int) -> Floats:
        """Power of what is left of earlier sound, shape (hops, bins).

        Parameters
        ----------
        power, noise : float64 arrays, shape (hops, bins)
        first_hop : int
            Number of the first hop since the stream began.
        """
        hops = len(power)
        before = np.concatenate((self._past, power))
        far = np.concatenate((self._far, power > FAR_OUT * noise))
        self._past, self._far = before[hops:].copy(), far[hops:].copy()
        out: Floats = before[:hops]
        share = np.empty(hops)
        for hop in range(hops):
            if (first_hop + hop) % HOPS_A_STEP == 0:
                self._look(power[hop], before[hop], far[hop])
            share[hop] = self._keeps
        return out * (GAIN * share)[:, None]

    def _look(self, now: Floats, before: Floats, far: NDArray[np.bool_]) -> None:
        count = int(np.count_nonzero(far))
        if count < LEAST_BINS:
            return
        lost = np.count_nonzero(now[far] < self._keeps * before[far]) / count
        self._keeps = min(max(self._keeps * math.exp(STEP * (QUANTILE - lost)), LEAST), MOST)
