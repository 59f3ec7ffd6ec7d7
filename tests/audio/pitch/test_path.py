"""The path over the grid, against every way there is."""

from __future__ import annotations

import numpy as np
import pytest

from audio.pitch._path import (
    CLEAR_MARGIN,
    CLEAR_STRENGTH,
    COST,
    JUMP,
    LAG_HOPS,
    REACH,
    RIVAL_SHARE,
    RIVAL_STATES,
    SOON_STRENGTHS,
    SURE_MARGIN,
    Path,
)


def best_way(strengths):
    """Viterbi (1967) written out over all pairs of states: the whole best way, and how far it stands above every other pitch.

    Where the newest hop is clear, above those that have at least RIVAL_SHARE of its strength.
    """
    hops, states = strengths.shape
    apart = np.abs(np.arange(states)[:, None] - np.arange(states)[None, :])
    cost = np.where(apart <= REACH, np.minimum(COST * apart, JUMP), JUMP)
    score, came = strengths[0].copy(), []
    for hop in range(1, hops):
        ways = score[:, None] - cost  # from row to column
        came.append(ways.argmax(axis=0))
        score = ways.max(axis=0) + strengths[hop]
    way = [int(score.argmax())]
    far = np.abs(np.arange(states) - way[0]) > RIVAL_STATES
    if strengths[-1, way[0]] > CLEAR_STRENGTH:
        far &= strengths[-1] > RIVAL_SHARE * strengths[-1, way[0]]
    others = score[far]
    for back in came[::-1]:
        way.append(int(back[way[-1]]))
    return way[::-1], score.max() - others.max() if len(others) else np.inf


def as_soon_as_sure(strengths, soonest=0):
    """Each hop's state by the first best way that is sure, the hop's own sound being there or a clear voice, or the one LAG_HOPS later.

    And how many hops later that was.
    """
    hops, out, waited = len(strengths), [], []
    for hop in range(hops):
        last = min(hop + LAG_HOPS, hops - 1)
        for now in range(hop, last + 1):
            way, margin = best_way(strengths[: now + 1])
            back = now - hop
            clear = strengths[now, way[now]] > CLEAR_STRENGTH
            there = back >= len(SOON_STRENGTHS) or (
                (clear or strengths[hop, way[hop]] > SOON_STRENGTHS[back]) and way[hop] >= soonest
            )
            if now == last or (margin >= (CLEAR_MARGIN if clear else SURE_MARGIN) and there):
                out.append(way[hop])
                waited.append(back)
                break
    return out, waited


def run_through(path, *parts):
    """States and waits of these hops, to the end; what waits at the end has waited long enough."""
    told = np.concatenate([*(path.step(part) for part in parts), path.finish()], axis=1)
    return told[0].tolist(), told[1].tolist()


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("soonest", [0, 7])
def test_each_hop_is_where_the_first_sure_way_or_the_one_four_hops_later_came_from(seed, soonest):
    strengths = np.random.default_rng(seed).normal(0, (3, 6, 12)[seed % 3], (25, 16))  # with jumps and without
    path = Path(16, soonest)
    states, waited = run_through(path, strengths)
    right, wait = as_soon_as_sure(strengths, soonest)
    assert states == right
    assert waited[: -LAG_HOPS - 1] == wait[: -LAG_HOPS - 1]


@pytest.mark.parametrize("hops", [1, 2, 3, 4])
def test_a_stretch_shorter_than_the_lag_is_decided_at_its_end(hops):
    strengths = np.random.default_rng(1).normal(0, 1, (hops, 12))  # never sure
    path = Path(12)
    decided = path.step(strengths)
    assert len(decided[0]) == max(0, hops - LAG_HOPS)
    assert [*decided[0], *path.finish()[0]] == as_soon_as_sure(strengths)[0]


def test_a_clear_voice_is_told_at_once_a_faint_one_once_its_sound_is_there_and_in_doubt_four_hops_later():
    strengths = np.random.default_rng(4).normal(0, 0.1, (60, 60))
    for begin, level in ((0, 8.0), (20, 2.7), (40, 1.5)):
        strengths[begin : begin + 20, 30] += level
    known = [*told(strengths)]
    assert known[:20] == list(range(20))
    assert known[20:40] == [hop + 1 for hop in range(20, 40)]
    assert known[44:] == [hop + len(SOON_STRENGTHS) for hop in range(44, 60 - len(SOON_STRENGTHS))]
    strengths[:, 30] = 0.0
    assert [*told(strengths)] == [hop + LAG_HOPS for hop in range(60 - LAG_HOPS)]


def told(strengths):
    """The hop that made each known."""
    path = Path(strengths.shape[1])
    for hop in range(len(strengths)):
        yield from [hop] * len(path.step(strengths[hop : hop + 1])[0])


def test_a_clear_voice_lets_nobody_wait_for_the_weak_hops_before_it():
    strengths = np.random.default_rng(4).normal(0, 0.1, (30, 60))
    strengths[10:14, 30] += 1.5
    strengths[14:, 30] += 8.0
    assert [*told(strengths)][10:15] == [14] * 5
    strengths[14:, 30] -= 5.0  # as strong as a voice that is told once its sound is there
    assert [*told(strengths)][10:15] != [14] * 5


def test_what_sounded_before_a_clear_voice_is_no_rival_of_it_but_an_octave_is():
    strengths = np.zeros((20, 160))
    strengths[:8, 20] = 4.0
    strengths[8:, 100] = 12.0  # barely more than it costs to jump to
    assert [*told(strengths)][8] == 8
    strengths[8:, 40] = 11.0
    assert [*told(strengths)][8] > 8


def test_the_cutting_of_hops_never_changes_the_way():
    rng = np.random.default_rng(2)
    strengths = rng.normal(0, 3, (60, 30))
    whole = Path(30)
    assert run_through(Path(30), *np.split(strengths, [1, 2, 9, 9, 31])) == run_through(whole, strengths)


def test_a_voice_too_weak_for_any_one_hop_is_followed_through_noise():
    rng = np.random.default_rng(3)
    strengths = rng.normal(0, 0.5, (300, 245))
    strengths[:, 100] += 0.8
    path = Path(245)
    states = path.step(strengths)[0]
    assert np.mean(strengths.argmax(axis=1) == 100) < 0.4
    assert np.mean(np.abs(states[20:] - 100) <= 2) > 0.95
