"""Twin of ``_path._way``."""

from __future__ import annotations

from typing import Any

import numpy as np

from audio.pitch._compass import FOLLOW, FREE_STATES, LEAN
from audio.pitch._path import (
    CLEAR_MARGIN,
    CLEAR_STRENGTH,
    COST,
    JUMP,
    LAG_HOPS,
    RIVAL_SHARE,
    RIVAL_STATES,
    SOON_STRENGTHS,
    SURE_MARGIN,
    SURE_STRENGTH,
)

SIGNATURE = (
    "int64(float64[:,::1], float64[::1], int64[:,::1], float64[:,::1], float64[::1], float64[::1], int64[::1], int64[:,::1],"
    " int64, int64[:,::1])"
)
FAR, NEAR = 2 * COST, COST
WHOLE = len(SOON_STRENGTHS)


def way(
    strengths: Any,
    scores: Any,
    came: Any,
    recent: Any,
    lean: Any,
    middle: Any,
    now: Any,
    waiting: Any,
    soonest: int,
    decided: Any,
) -> int:
    """See the twin."""
    states = len(lean)
    best_way = np.empty(states)
    given = 0
    for hop in range(len(strengths)):
        row = now[1] % LAG_HOPS
        now[1] += 1
        for state in range(states):
            top = scores[state] - FAR
            frm = state - 2
            low = scores[state + 1] - NEAR
            if low > top:
                top = low
                frm = state - 1
            same = scores[state + 2]
            if same > top:
                top = same
                frm = state
            high = scores[state + 3] - NEAR
            if high > top:
                top = high
                frm = state + 1
            higher = scores[state + 4] - FAR
            if higher > top:
                top = higher
                frm = state + 2
            if top < -JUMP:
                top = -JUMP
                frm = now[0]
            came[row, state] = frm
            strength = strengths[hop, state]
            recent[row, state] = strength
            best_way[state] = top + (strength - lean[state])
        best = 0
        for state in range(1, states):
            if best_way[state] > best_way[best]:
                best = state
        now[0] = best
        if strengths[hop, best] > SURE_STRENGTH:
            middle[0] = middle[0] + FOLLOW * (best - middle[0]) if middle[0] >= 0.0 else float(best)
            for state in range(states):
                lean[state] = LEAN * max(abs(state - middle[0]) - FREE_STATES, 0.0)
        top = best_way[best]
        for state in range(states):
            scores[state + 2] = best_way[state] - top
        given = _given(scores, came, recent, now, waiting, soonest, states, decided, given)
    return given


def _margin(scores: Any, best: int, states: int, strength: Any, least: float) -> float:
    rival = -np.inf
    for state in range(states):
        if (state < best - RIVAL_STATES or state > best + RIVAL_STATES) and strength[state] > least:
            rival = max(rival, scores[state + 2])
    return -rival


def _given(
    scores: Any,
    came: Any,
    recent: Any,
    now: Any,
    waiting: Any,
    soonest: int,
    states: int,
    decided: Any,
    given: int,
) -> int:
    strength = recent[(now[1] - 1) % LAG_HOPS]
    clear = strength[now[0]] > CLEAR_STRENGTH
    least = RIVAL_SHARE * strength[now[0]] if clear else -np.inf
    at_once = _margin(scores, now[0], states, strength, least) >= (CLEAR_MARGIN if clear else SURE_MARGIN)
    count = now[2]
    waiting[0, count], waiting[1, count] = -1, 0
    count += 1
    state = now[0]
    for back in range(min(count, LAG_HOPS + 1)):
        row = (now[1] - 1 - back) % LAG_HOPS
        place = count - 1 - back
        soon = back >= WHOLE or (state >= soonest and (clear or recent[row, state] > SOON_STRENGTHS[back]))
        if waiting[0, place] < 0 and (back == LAG_HOPS or (at_once and soon)):
            waiting[0, place], waiting[1, place] = state, back
        if back < LAG_HOPS:
            state = came[row, state]
    known = 0
    while known < count and waiting[0, known] >= 0:
        decided[0, given], decided[1, given] = waiting[0, known], waiting[1, known]
        given += 1
        known += 1
    for place in range(known, count):
        waiting[0, place - known], waiting[1, place - known] = waiting[0, place], waiting[1, place]
    for place in range(count - known, LAG_HOPS + 1):
        waiting[0, place], waiting[1, place] = -1, 0
    now[2] = count - known
    return given


HELPERS = (_margin, _given)
