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

_STEPS = np.arange(-REACH, REACH + 1)
_STEP_COST = COST * np.abs(_STEPS).astype(np.float64)


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
        self._states = states
        self._ways = np.arange(2 * REACH + 1)[:, None] + np.arange(
            states
        )  # where in a row of scores each state may come from
        # scores of the last hops, oldest first, each with REACH states of no hope at both ends
        self._scores = np.full((LAG_HOPS + 1, states + 2 * REACH), -np.inf)
        self._scores[:, REACH:-REACH] = 0.0
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
        hops = len(strengths)
        scores = np.full((LAG_HOPS + 1 + hops, self._states + 2 * REACH), -np.inf)
        scores[: LAG_HOPS + 1] = self._scores
        bests = np.empty(hops, dtype=np.intp)
        for hop in range(hops):
            # scores are held with their best at 0, so a jump from the best is -JUMP
            best_way = np.maximum((scores[LAG_HOPS + hop].take(self._ways) - _STEP_COST[:, None]).max(axis=0), -JUMP)
            best_way += strengths[hop] - self._compass.lean
            best = int(best_way.argmax())
            if strengths[hop, best] > SURE_STRENGTH:
                self._compass.heard(best)
            bests[hop] = best
            np.subtract(best_way, best_way[best], out=scores[LAG_HOPS + 1 + hop, REACH:-REACH])
        seen = [bests]  # by each hop, of itself and of each hop before it
        rows = np.arange(hops)
        for back in range(LAG_HOPS):
            seen.append(_before(scores, LAG_HOPS + rows - back, seen[-1]))
        sure = [_margin(scores[LAG_HOPS + 1 + hop, REACH:-REACH], best) for hop, best in enumerate(bests.tolist())]
        strong = np.concatenate((self._recent, strengths))
        offset = len(self._recent)
        self._recent = strong[-LAG_HOPS:].copy()
        self._scores = scores[-LAG_HOPS - 1 :].copy()
        return self._given(np.stack(seen, axis=1).tolist(), sure, strong, offset)

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
        state = np.array([self._scores[-1, REACH:-REACH].argmax()])
        out: list[int] = []
        for back in range(len(self._waiting)):
            decided = self._waiting[-1 - back]
            out.append(decided if decided >= 0 else int(state[0]))
            state = _before(self._scores, np.array([LAG_HOPS - 1 - back]), state)
        self._waiting = []
        return np.array(out[::-1], dtype=np.intp)


def _margin(scores: Floats, best: int) -> float:
    """How far the best state stands above every other pitch; scores are held with their best at 0."""
    below, above = scores[: max(best - RIVAL_STATES, 0)], scores[best + RIVAL_STATES + 1 :]
    rivals = [float(part.max()) for part in (below, above) if len(part)]
    return -max(rivals) if rivals else 0.0


def _before(scores: Floats, rows: States, state: States) -> States:
    """The state, in each of ``rows``, that the best way to ``state`` in the row after came from."""
    near = scores[rows[:, None], state[:, None] + REACH + _STEPS] - _STEP_COST
    step = near.argmax(axis=1)
    jumps = near[np.arange(len(state)), step] < -JUMP
    came: States = np.where(jumps, scores[rows].argmax(axis=1) - REACH, state + _STEPS[step])
    return came
