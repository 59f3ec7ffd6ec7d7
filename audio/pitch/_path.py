"""The likeliest way over the grid of pitches, decided at once where it is clear and a fixed few hops late at most.

Max-plus forward recursion (Viterbi 1967; Forney 1973, Proc. IEEE 61) with all states of each hop: a voice too weak to
be a peak in any one hop still adds up. A step to a near pitch costs by its size, a step to anywhere else (the start of another note)
costs ``JUMP``; what lies far from where this singer was clear before costs a little, too (``_compass``). The answer for a hop is where
the best way ``LAG_HOPS`` later came from, or, sooner, where the first best way came from that stands ``SURE_MARGIN`` above every
other. Nothing is ever taken back.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from audio.pitch._compass import Compass

Floats = NDArray[np.float64]
States = NDArray[np.intp]

LAG_HOPS = 4
REACH = 2  # states of a step: 8000 cents/s
COST = 0.4  # a state
JUMP = 10.0
SURE_MARGIN = 5.0
SURE_STRENGTH = 3.4  # of the hop itself; _refine then looks at no more sound than is there
RIVAL_STATES = 5  # farther off than this is another pitch

_STEP_COST = COST * np.abs(np.arange(-REACH, REACH + 1, dtype=np.float64))[:, None]


class Path:
    """State of the recursion over one unbroken stretch of sound.

    Parameters
    ----------
    states : int
        Size of the grid.
    soonest : int
        The lowest state that may be decided before ``LAG_HOPS`` are over: lower ones need sound that is not yet there.
    """

    def __init__(self, states: int, soonest: int = 0) -> None:
        # where in a row of scores each state may come from
        self._ways = np.arange(2 * REACH + 1)[:, None] + np.arange(states)
        # scores of the last hop, their best at 0, with REACH states of no hope at both ends
        self._scores = np.full(states + 2 * REACH, -np.inf)
        self._scores[REACH:-REACH] = 0.0
        self._best = 0
        # by each of the last hops, oldest first, the state before each of its own
        self._came = [np.arange(states)] * LAG_HOPS
        self._compass = Compass(states)
        self._soonest = soonest
        self._waiting: list[int] = []  # states of the hops not yet given, -1 where not decided
        self._recent = np.zeros((0, states))  # strengths of the last hops

    def step(self, strengths: Floats) -> States:
        """States decided by these hops, shape (decided,), the oldest first.

        Parameters
        ----------
        strengths : float64 array, shape (hops, states)
        """
        seen = []  # by each hop, of itself and of each hop before it
        sure = []
        for strength in strengths:
            state = self._hop(strength)
            states = [state]
            for came in reversed(self._came):
                state = int(came[state])
                states.append(state)
            seen.append(states)
            sure.append(_margin(self._scores[REACH:-REACH], self._best))
        strong = np.concatenate((self._recent, strengths))
        offset = len(self._recent)
        self._recent = strong[-LAG_HOPS:].copy()
        return self._given(seen, sure, strong, offset)

    def _hop(self, strength: Floats) -> int:
        """The best state after one more hop."""
        near = self._scores.take(self._ways) - _STEP_COST
        way = near.max(axis=0)
        came = near.argmax(axis=0) + self._ways[0] - REACH
        # scores are held with their best at 0, so a jump from the best is -JUMP
        self._came = [*self._came[1:], np.where(way < -JUMP, self._best, came)]
        way = np.maximum(way, -JUMP)
        way += strength - self._compass.lean
        self._best = int(way.argmax())
        if strength[self._best] > SURE_STRENGTH:
            self._compass.heard(self._best)
        np.subtract(way, way[self._best], out=self._scores[REACH:-REACH])
        return self._best

    def _given(self, seen: list[list[int]], sure: list[float], strong: Floats, offset: int) -> States:
        out = []
        for hop, states in enumerate(seen):
            self._waiting.append(-1)
            for back in range(min(len(self._waiting), LAG_HOPS + 1)):
                state = states[back]
                if self._waiting[-1 - back] >= 0:
                    continue
                at_once = sure[hop] >= SURE_MARGIN and state >= self._soonest
                if back == LAG_HOPS or (at_once and strong[offset + hop - back, state] > SURE_STRENGTH):
                    self._waiting[-1 - back] = state
            while self._waiting and self._waiting[0] >= 0:
                out.append(self._waiting.pop(0))
        return np.array(out, dtype=np.intp)

    def finish(self) -> States:
        """The states still waiting, along the best way where they were not decided."""
        state = self._best
        out: list[int] = []
        for decided, came in zip(reversed(self._waiting), reversed(self._came), strict=False):
            out.append(decided if decided >= 0 else state)
            state = int(came[state])
        self._waiting = []
        return np.array(out[::-1], dtype=np.intp)


def _margin(scores: Floats, best: int) -> float:
    """How far the best state stands above every other pitch; scores are held with their best at 0."""
    below, above = scores[: max(best - RIVAL_STATES, 0)], scores[best + RIVAL_STATES + 1 :]
    rivals = [float(part.max()) for part in (below, above) if len(part)]
    return -max(rivals) if rivals else 0.0
