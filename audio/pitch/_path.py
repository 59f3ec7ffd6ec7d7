"""The likeliest way over the grid of pitches, decided at once where it is clear and a fixed few hops late at most.

Max-plus forward recursion (Viterbi 1967; Forney 1973, Proc. IEEE 61) with all states of each hop: a voice too weak to
be a peak in any one hop still adds up. A step to a near pitch costs by its size, a step to anywhere else (the start of another note)
costs ``JUMP``; what lies far from where this singer was clear before costs a little, too (``_compass``). The answer for a hop is where
the best way ``LAG_HOPS`` later came from, or, sooner, where the first best way came from that stands ``SURE_MARGIN`` above every
other, once there is the sound that ``_refine`` looks at: the fainter, the longer. Nothing is ever taken back.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from audio.compiled import Step
from audio.pitch._compass import Compass

Floats = NDArray[np.float64]
States = NDArray[np.int64]

LAG_HOPS = 4
REACH = 2  # states of a step: 8000 cents/s
COST = 0.4  # a state
JUMP = 10.0
SURE_MARGIN, CLEAR_MARGIN = 5.0, 3.0
SURE_STRENGTH = 3.4
SOON_STRENGTHS = (
    SURE_STRENGTH,
    2.0,
    2.0,
)  # of a hop so many hops back; _refine then looks at no more sound than is there
CLEAR_STRENGTH = 5.0  # of the newest hop, behind which nobody waits
RIVAL_SHARE = 0.5  # of a clear pitch's strength, for another to be its rival: what sounded before it is none
RIVAL_STATES = 5  # farther off than this is another pitch

_STEP_COST = COST * np.abs(np.arange(-REACH, REACH + 1, dtype=np.float64))[:, None]


class Path:
    """State of the recursion over one unbroken stretch of sound.

    Parameters
    ----------
    states : int
        Size of the grid.
    soonest : int
        The lowest state that may be decided before ``len(SOON_STRENGTHS)`` hops are over: lower ones need sound that is not yet there.
    """

    def __init__(self, states: int, soonest: int = 0) -> None:
        self._soonest = soonest
        # scores of the last hop, their best at 0, with REACH states of no hope at both ends
        self._scores = np.full(states + 2 * REACH, -np.inf)
        self._scores[REACH:-REACH] = 0.0
        # of the last hops, the newest in row (hops so far - 1) % LAG_HOPS: the state before each of its own, and its strengths
        self._came = np.tile(np.arange(states), (LAG_HOPS, 1))
        self._recent = np.zeros((LAG_HOPS, states))
        self._compass = Compass(states)
        self._now = np.zeros(3, dtype=np.int64)  # the best state, hops so far, hops that wait
        # of those, the oldest first: their states, -1 where not decided, and how many hops it took to decide them
        self._waiting = np.zeros((2, LAG_HOPS + 1), dtype=np.int64)

    def step(self, strengths: Floats) -> States:
        """What these hops decide, shape (2, decided), the oldest first: states, and how many hops later each was decided.

        Parameters
        ----------
        strengths : float64 array, shape (hops, states)
        """
        decided = np.empty((2, len(strengths) + LAG_HOPS), dtype=np.int64)
        count = WAY.now(
            strengths,
            self._scores,
            self._came,
            self._recent,
            self._compass.lean,
            self._compass.middle,
            self._now,
            self._waiting,
            self._soonest,
            decided,
        )
        return decided[:, :count]

    def finish(self) -> States:
        """The same of what is still waiting, along the best way where it was not decided; all have waited long enough."""
        state, hops, count = self._now.tolist()
        out: list[int] = []
        for back, decided in enumerate(self._waiting[0, :count][::-1].tolist()):
            out.append(decided if decided >= 0 else state)
            state = int(self._came[(hops - 1 - back) % LAG_HOPS, state])
        self._now[2] = 0
        return np.array((out[::-1], [LAG_HOPS] * count), dtype=np.int64)


def _way(
    strengths: Floats,
    scores: Floats,
    came: States,
    recent: Floats,
    lean: Floats,
    middle: Floats,
    now: States,
    waiting: States,
    soonest: int,
    decided: States,
) -> int:
    """How many hops these decide, into ``decided``; what else is an array is the ``Path``'s and its compass's, changed in place."""
    compass = Compass.of(lean, middle)
    ways = np.arange(2 * REACH + 1)[:, None] + np.arange(len(lean))  # where in a row of scores each state may come from
    out: list[tuple[int, int]] = []
    waits = list(zip(*waiting[:, : now[2]].tolist(), strict=True))
    for strength in strengths:
        row = int(now[1]) % LAG_HOPS
        now[1] += 1
        near = scores.take(ways) - _STEP_COST
        way = near.max(axis=0)
        # scores are held with their best at 0, so a jump from the best is -JUMP
        came[row] = np.where(way < -JUMP, now[0], near.argmax(axis=0) + ways[0] - REACH)
        recent[row] = strength
        way = np.maximum(way, -JUMP)
        way += strength - lean
        best = int(way.argmax())
        if strength[best] > SURE_STRENGTH:
            compass.heard(best)
        np.subtract(way, way[best], out=scores[REACH:-REACH])
        now[0] = best
        clear = strength[best] > CLEAR_STRENGTH
        alive = strength > RIVAL_SHARE * strength[best] if clear else np.ones(len(lean), dtype=np.bool_)
        at_once = _margin(scores[REACH:-REACH], best, alive) >= (CLEAR_MARGIN if clear else SURE_MARGIN)
        waits.append((-1, 0))
        state = best
        for back in range(len(waits)):
            at = (row - back) % LAG_HOPS
            soon = back >= len(SOON_STRENGTHS) or (
                state >= soonest and (clear or recent[at, state] > SOON_STRENGTHS[back])
            )
            if waits[-1 - back][0] < 0 and (back == LAG_HOPS or (at_once and soon)):
                waits[-1 - back] = state, back
            state = int(came[at, state])
        while waits and waits[0][0] >= 0:
            out.append(waits.pop(0))
    now[2] = len(waits)
    waiting[0], waiting[1] = -1, 0
    waiting[:, : len(waits)] = np.reshape(waits, (-1, 2)).T
    decided[:, : len(out)] = np.reshape(out, (-1, 2)).T
    return len(out)


def _margin(scores: Floats, best: int, alive: NDArray[np.bool_]) -> float:
    """How far the best state stands above every other pitch that is *alive*; scores are held with their best at 0."""
    rivals = np.where(alive, scores, -np.inf)
    rivals[max(best - RIVAL_STATES, 0) : best + RIVAL_STATES + 1] = -np.inf
    return -float(rivals.max())


WAY = Step(_way, "audio.pitch.compiled", "way")
