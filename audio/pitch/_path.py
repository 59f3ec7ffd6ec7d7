"""The likeliest way over the grid of pitches, decided a fixed few hops late.

Max-plus forward recursion (Viterbi 1967; Forney 1973, Proc. IEEE 61) with all states of each hop: a voice too weak to
be a peak in any one hop still adds up. A step to a near pitch costs by its size, a step to anywhere else (the start of another note) costs
``JUMP``. The answer for a hop is where the best way ``LAG_HOPS`` later came from, so nothing is ever taken back.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
States = NDArray[np.intp]

LAG_HOPS = 3
REACH = 2  # states of a step: 8000 cents/s
COST = 0.4  # a state
JUMP = 10.0

_STEPS = np.arange(-REACH, REACH + 1)
_STEP_COST = COST * np.abs(_STEPS).astype(np.float64)


class Path:
    """State of the recursion over one unbroken stretch of sound.

    Parameters
    ----------
    states : int
        Size of the grid.
    """

    def __init__(self, states: int) -> None:
        self._states = states
        self._ways = np.arange(2 * REACH + 1)[:, None] + np.arange(
            states
        )  # where in a row of scores each state may come from
        # scores of the last hops, oldest first, each with REACH states of no hope at both ends
        self._scores = np.full((LAG_HOPS + 1, states + 2 * REACH), -np.inf)
        self._scores[:, REACH:-REACH] = 0.0
        self._seen = 0

    def step(self, strengths: Floats) -> States:
        """States decided by these hops, shape (decided,): in all, ``LAG_HOPS`` fewer than were given.

        Parameters
        ----------
        strengths : float64 array, shape (hops, states)
        """
        hops = len(strengths)
        scores = np.full((LAG_HOPS + 1 + hops, self._states + 2 * REACH), -np.inf)
        scores[: LAG_HOPS + 1] = self._scores
        bests = np.empty(hops, dtype=np.intp)
        for hop in range(hops):
            # scores are held with their best at 0, so a jump from the best is -JUMP
            best_way = np.maximum((scores[LAG_HOPS + hop].take(self._ways) - _STEP_COST[:, None]).max(axis=0), -JUMP)
            best_way += strengths[hop]
            best = int(best_way.argmax())
            bests[hop] = best
            np.subtract(best_way, best_way[best], out=scores[LAG_HOPS + 1 + hop, REACH:-REACH])
        state = bests
        rows = np.arange(hops)
        for back in range(LAG_HOPS):
            state = _before(scores, LAG_HOPS + rows - back, state)
        skip = min(max(LAG_HOPS - self._seen, 0), hops)
        self._seen += hops
        self._scores = scores[-LAG_HOPS - 1 :].copy()
        return state[skip:]

    def finish(self) -> States:
        """The last ``LAG_HOPS`` states (fewer if fewer hops were given), along the best way."""
        state = np.array([self._scores[-1, REACH:-REACH].argmax()])
        out = []
        for back in range(min(LAG_HOPS, self._seen)):
            out.append(state)
            state = _before(self._scores, np.array([LAG_HOPS - 1 - back]), state)
        return np.concatenate(out[::-1]) if out else np.zeros(0, dtype=np.intp)


def _before(scores: Floats, rows: States, state: States) -> States:
    """The state, in each of ``rows``, that the best way to ``state`` in the row after came from."""
    near = scores[rows[:, None], state[:, None] + REACH + _STEPS] - _STEP_COST
    step = near.argmax(axis=1)
    jumps = near[np.arange(len(state)), step] < -JUMP
    came: States = np.where(jumps, scores[rows].argmax(axis=1) - REACH, state + _STEPS[step])
    return came
