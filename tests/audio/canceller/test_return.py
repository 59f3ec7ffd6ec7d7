"""When the room as it was learnt is taken again."""

from __future__ import annotations

import numpy as np

from audio.canceller._return import Return

FRAMES = 256
rng = np.random.default_rng(11)
SOUND = rng.standard_normal(FRAMES).astype(np.float32)
NOBODY = np.zeros(FRAMES, dtype=np.float32)


class Learnt:
    """In a filter's place: what it foretells by the room as it was learnt."""

    def __init__(self, echo) -> None:
        self._echo = echo

    def echo_as_learnt(self):
        return self._echo


def told(balance, learnt_leaves, now_leaves, besides=NOBODY):
    """One block of our own sound, of which the two rooms leave these shares."""
    heard = SOUND + besides
    return balance.better(Learnt((1 - learnt_leaves) * SOUND), heard, (1 - now_leaves) * SOUND)


def test_four_blocks_that_leave_half_as_much_are_enough_and_three_are_not():
    balance = Return()
    assert [told(balance, 0.1, 0.3) for _ in range(4)] == [False, False, False, True]


def test_one_block_counts_for_no_more_than_a_doubling():
    balance = Return()
    assert [told(balance, 0.001, 0.5) for _ in range(3)] == [False, False, False]


def test_where_now_one_and_now_the_other_leaves_less_nothing_is_taken_back():
    balance = Return()
    assert not any(told(balance, *pair) for pair in [(0.1, 0.3), (0.3, 0.1)] * 50)


def test_blocks_in_which_somebody_sings_say_nothing():
    balance = Return()
    singer = rng.standard_normal(FRAMES).astype(np.float32)
    assert not any(told(balance, 0.1, 0.3, singer) for _ in range(50))
    assert [told(balance, 0.1, 0.3) for _ in range(4)][-1]


def test_after_the_room_was_taken_again_the_balance_begins_anew():
    balance = Return()
    assert [told(balance, 0.1, 0.3) for _ in range(8)] == [False, False, False, True] * 2
