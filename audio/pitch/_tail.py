"""What a room still sounds of the note before, bin by bin.

The power of a bin ``BACK_HOPS`` ago, times a share that falls to what this room keeps: late reverberation falls evenly, so what was there a
moment ago bounds what of it is still there (Lebart, Boucher & Denbigh 2001, Acta Acustica 87, from memory). How much a room keeps is
heard blindly, when a note ends or moves on and most of what stood far out of the noise falls: of the bins that fell, only one in five
loses more. A held note says nothing of the room. A dry voice that changes its note loses nearly all of its old harmonics, so in a dry
room the share is next to nothing and takes nothing away.

Source of the tracking: quantiles by steps, Robbins & Monro (1951). The numbers were chosen on the development seeds of
``tests/bench/pitch``.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Counts = NDArray[np.int64]

BACK_HOPS = 9  # 45 ms: two such windows share next to nothing
FAR_OUT = 100.0  # of the noise
FELL = 0.7  # to less than so much of what a bin was: a room of RT60 1.7 s does so in 45 ms, and its ripple sooner
QUANTILE = 0.2
STEP = 1.0  # nepers of power: up 43 dB a second, down 174, while something falls
HOPS_A_STEP = 4
LEAST_BINS = 4
GONE = 4.0  # in the noise: what fell so far may have fallen farther
LEAST_FALLEN = 0.5  # of what stood far out: where less has fallen two voices beat, or one moves a little
START, LEAST, MOST = 0.001, 1e-4, 0.08
GAIN = 5.0  # over what one bin in five keeps less than: most of them keep more
WET, MORE = (
    0.003,
    6.0,
)  # and up to so many times that where a room keeps more than WET: its tails are louder than soft notes
MOST_TAKEN = 0.25  # a held note must still stand out of itself


class Tail:
    """The tail under one stream.

    Parameters
    ----------
    bins : int

    Attributes
    ----------
    past : float64 array, shape (BACK_HOPS, bins)
        Power of the last hops, the oldest in row ``at``; this and what follows is changed in place.
    far : bool array, shape (BACK_HOPS, bins)
        Where it stood far out of the noise.
    keeps : float64 array, shape (1,)
        The share that the room keeps.
    at : int64 array, shape (1,)
    """

    def __init__(self, bins: int) -> None:
        self.past, self.far = np.zeros((BACK_HOPS, bins)), np.zeros((BACK_HOPS, bins), dtype=np.bool_)
        self.keeps, self.at = np.array([START]), np.zeros(1, dtype=np.int64)

    @classmethod
    def of(cls, past: Floats, far: Bools, keeps: Floats, at: Counts) -> Tail:
        """The one that these belong to."""
        tail = cls.__new__(cls)
        tail.past, tail.far, tail.keeps, tail.at = past, far, keeps, at
        return tail

    def under(self, power: Floats, noise: Floats, first_hop: int) -> tuple[Floats, Floats]:
        """Power of what is left of earlier sound, shape (hops, bins), and what the room keeps so far, shape (hops,).

        Parameters
        ----------
        power, noise : float64 arrays, shape (hops, bins)
        first_hop : int
            Number of the first hop since the stream began.
        """
        hops = len(power)
        turned = (self.at[0] + np.arange(BACK_HOPS)) % BACK_HOPS
        before = np.concatenate((self.past[turned], power))
        far = np.concatenate((self.far[turned], power > FAR_OUT * noise))
        self.at[0] = (self.at[0] + hops) % BACK_HOPS
        turned = (self.at[0] + np.arange(BACK_HOPS)) % BACK_HOPS
        self.past[turned], self.far[turned] = before[hops:], far[hops:]
        out: Floats = before[:hops]
        share, keeps = np.empty(hops), np.empty(hops)
        for hop in range(hops):
            if (first_hop + hop) % HOPS_A_STEP == 0:
                self._look(power[hop], noise[hop], before[hop], far[hop])
            keeps[hop] = self.keeps[0]
            share[hop] = taken(float(self.keeps[0]))
        return out * share[:, None], keeps

    def _look(self, now: Floats, noise: Floats, before: Floats, far: Bools) -> None:
        fallen = far & (now < FELL * before)
        count = int(np.count_nonzero(fallen))
        if count < LEAST_BINS or count < LEAST_FALLEN * int(np.count_nonzero(far)):
            return
        keeps = float(self.keeps[0])
        left = np.maximum(keeps * before[fallen], GONE * noise[fallen])
        lost = np.count_nonzero(now[fallen] < left) / count
        self.keeps[0] = min(max(keeps * grown(STEP * (QUANTILE - lost)), LEAST), MOST)


def taken(keeps: float) -> float:
    """The share that is taken for tail where one bin in five of those that fell keeps less than *keeps*."""
    return min(GAIN * keeps * min(max(keeps / WET, 1.0), MORE), MOST_TAKEN)


def grown(by: float) -> float:
    """E to the power of a number from -1 to 1, by its series: the same last bit on every machine."""
    out = 1.0
    for term in range(14, 0, -1):
        out = 1.0 + by * out / term
    return out
