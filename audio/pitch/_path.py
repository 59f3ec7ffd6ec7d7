"""The likeliest way through the candidates, decided a fixed few hops late.

Max-plus forward recursion (Viterbi 1967; Forney 1973) over the candidates of each hop; the answer for a hop is where the best way at
``LAG_HOPS`` later came from, so the sound used is bounded and nothing is ever taken back.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from audio.pitch._salience import CANDIDATES

Floats = NDArray[np.float64]

LAG_HOPS = 3
FREE_CENTS = 15.0  # a step that costs nothing: 3000 cents/s
COST_A_CENT = 0.02
LARGEST_COST = 3.0  # a jump: the start of another note


class Path:
    """State of the recursion over one unbroken stretch of sound."""

    def __init__(self) -> None:
        self._score = np.zeros(CANDIDATES)
        self._cents = np.zeros((LAG_HOPS + 1, CANDIDATES))  # last hops' candidates, newest last
        self._from = np.zeros((LAG_HOPS, CANDIDATES), dtype=np.intp)  # where each came from, newest last
        self._seen = 0

    def step(self, cents: Floats, strength: Floats) -> Floats:
        """Pitches decided by these hops, in cents, shape (decided,): ``LAG_HOPS`` fewer than were given so far.

        Parameters
        ----------
        cents, strength : float64 arrays, shape (hops, CANDIDATES)
        """
        hops = len(cents)
        before = np.concatenate((self._cents[-1:], cents[:-1]))
        step_cents = np.abs(cents[:, :, None] - before[:, None, :])
        cost = np.minimum(COST_A_CENT * np.maximum(step_cents - FREE_CENTS, 0.0), LARGEST_COST)
        came = np.empty((hops, CANDIDATES), dtype=np.intp)
        best = np.empty(hops, dtype=np.intp)
        score, each = self._score, np.arange(CANDIDATES)
        for hop in range(hops):
            ways = score - cost[hop]
            came[hop] = ways.argmax(axis=1)
            score = ways[each, came[hop]] + strength[hop]
            best[hop] = score.argmax()
            score -= score[best[hop]]
        self._score = score
        all_cents = np.concatenate((self._cents, cents))
        all_from = np.concatenate((self._from, came))
        chosen = best
        rows = np.arange(hops)
        for back in range(LAG_HOPS):
            chosen = all_from[LAG_HOPS + rows - back, chosen]
        decided = all_cents[1 + rows, chosen]
        skip = min(max(LAG_HOPS - self._seen, 0), hops)
        self._seen += hops
        self._cents, self._from = all_cents[-LAG_HOPS - 1 :], all_from[-LAG_HOPS:]
        return decided[skip:]

    def finish(self) -> Floats:
        """The last ``LAG_HOPS`` pitches (fewer if fewer were given), from the best way's end."""
        chosen = int(self._score.argmax())
        out = []
        for back in range(min(LAG_HOPS, self._seen)):
            out.append(self._cents[-1 - back, chosen])
            chosen = int(self._from[-1 - back, chosen])
        return np.array(out[::-1])
