"""The path over the grid, against every way there is."""

from __future__ import annotations

import numpy as np
import pytest

from audio.pitch._path import COST, JUMP, LAG_HOPS, REACH, Path


def best_way(strengths):
    """Viterbi (1967) written out over all pairs of states, from the first hop to the last: the whole best way."""
    hops, states = strengths.shape
    apart = np.abs(np.arange(states)[:, None] - np.arange(states)[None, :])
    cost = np.where(apart <= REACH, np.minimum(COST * apart, JUMP), JUMP)
    score, came = strengths[0].copy(), []
    for hop in range(1, hops):
        ways = score[:, None] - cost  # from row to column
        came.append(ways.argmax(axis=0))
        score = ways.max(axis=0) + strengths[hop]
    way = [int(score.argmax())]
    for back in came[::-1]:
        way.append(int(back[way[-1]]))
    return way[::-1]


def with_lag(strengths):
    """The state, at each hop, of the best way that ends LAG_HOPS later."""
    hops = len(strengths)
    return [best_way(strengths[: min(hop + LAG_HOPS, hops - 1) + 1])[hop] for hop in range(hops)]


@pytest.mark.parametrize("seed", range(5))
def test_each_hop_is_where_the_best_way_three_hops_later_came_from(seed):
    strengths = np.random.default_rng(seed).normal(0, (3, 12)[seed % 2], (25, 12))  # with jumps and without
    path = Path(12)
    assert [*path.step(strengths), *path.finish()] == with_lag(strengths)


@pytest.mark.parametrize("hops", [1, 2, 3, 4])
def test_a_stretch_shorter_than_the_lag_is_decided_at_its_end(hops):
    strengths = np.random.default_rng(1).normal(0, 3, (hops, 12))
    path = Path(12)
    decided = path.step(strengths)
    assert len(decided) == max(0, hops - LAG_HOPS)
    assert [*decided, *path.finish()] == with_lag(strengths)


def test_the_cutting_of_hops_never_changes_the_way():
    rng = np.random.default_rng(2)
    strengths = rng.normal(0, 3, (60, 30))
    whole = Path(30)
    once = [*whole.step(strengths), *whole.finish()]
    parts = Path(30)
    again = [state for part in np.split(strengths, [1, 2, 9, 9, 31]) for state in parts.step(part)]
    assert [*again, *parts.finish()] == once


def test_a_voice_too_weak_for_any_one_hop_is_followed_through_noise():
    rng = np.random.default_rng(3)
    strengths = rng.normal(0, 0.5, (300, 245))
    strengths[:, 100] += 0.8
    path = Path(245)
    states = path.step(strengths)
    assert np.mean(strengths.argmax(axis=1) == 100) < 0.4
    assert np.mean(np.abs(states[20:] - 100) <= 2) > 0.95
