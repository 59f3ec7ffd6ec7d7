"""The level of new music follows what was held lately."""

from __future__ import annotations

import pytest

from trainer.plan.level import LATELY, Held, learnt_level


def levels(*takes: tuple[int, str]) -> tuple[int, ...] | None:
    found = learnt_level([Held(*one) for one in takes], 1, 12)
    return None if found is None else tuple(found.levels)


def test_without_takes_practice_says_nothing() -> None:
    assert levels() is None


@pytest.mark.parametrize(
    ("takes", "expected"),
    [
        ([(4, "clean")], (4, 5)),
        ([(4, "clean"), (7, "clean")], (4, 5)),  # the higher one was held once only
        ([(4, "clean"), (7, "clean"), (7, "clean")], (7, 8)),
        ([(7, "clean"), (7, "clean"), (7, "poor"), (8, "poor")], (6, 7)),
        ([(7, "clean"), (7, "clean"), (7, "poor"), (8, "between")], (7, 8)),
        ([(3, "poor")], (2,)),
        ([(1, "between"), (2, "poor")], (1,)),
        ([(12, "clean")] * 2, (12,)),
        ([(9, "clean")] * 2 + [(3, "clean")] * LATELY, (3, 4)),  # what is long ago counts no more
    ],
)
def test_the_level_is_what_was_held_twice_and_the_one_above(
    takes: list[tuple[int, str]], expected: tuple[int, ...]
) -> None:
    assert levels(*takes) == expected


def test_why_is_said_in_counts() -> None:
    found = learnt_level([Held(5, "clean"), Held(6, "poor"), Held(5, "clean")], 1, 12)
    assert found is not None
    assert found.why == "2 of your last 3 takes were clean at level 5 or above"
    badly = learnt_level([Held(5, "clean"), Held(6, "poor"), Held(6, "poor")], 1, 12)
    assert badly is not None
    assert badly.why == "1 of your last 3 takes was clean at level 5 or above, the last two went badly"
