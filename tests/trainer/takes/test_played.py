"""Where what was played lies in a recording, out of what its stretches say of it."""

from __future__ import annotations

from audio.units import RATE_HZ
from trainer.takes.played import agreeing


def places(*seconds: tuple[float, float]) -> list[tuple[int, int]]:
    return [(round(begin * RATE_HZ), round(delay * RATE_HZ)) for begin, delay in seconds]


def test_where_a_held_chord_says_anything_the_stretches_that_agree_are_believed() -> None:
    # a chord and a first note before the music, as heard in a recording whose moment was given 0.2 s too early
    told = places((1.5, 0.0015), (3.0, 0.599), (4.5, 0.5996), (6.0, 1.0698), (7.5, 0.8042))
    assert agreeing(told) == told[1:3]


def test_two_clocks_60_in_a_million_apart_leave_all_stretches_agreeing() -> None:
    told = places(*((k * 1.5, 0.45 + 60e-6 * k * 1.5) for k in range(12)))
    assert agreeing(told) == told


def test_where_no_two_stretches_agree_all_are_kept() -> None:
    told = places((0.0, 0.1), (1.5, 0.5))
    assert agreeing(told) == told
