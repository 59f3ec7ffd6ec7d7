"""Frames and quarters are each other's inverse, whatever the anchors."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audio.heard import Anchor
from trainer.practice.timemap import TimeMap, fixed_time
from trainer.score.time import TempoMap

tempos = st.lists(st.tuples(st.integers(1, 16), st.integers(20, 240)), min_size=0, max_size=5)


def tempo_map(first: int, later: list[tuple[int, int]]) -> TempoMap:
    at, points = Fraction(0), [(Fraction(0), Fraction(first))]
    for step, qpm in later:
        at += step
        points.append((at, Fraction(qpm)))
    return TempoMap(tuple(points))


@given(st.integers(20, 240), tempos, st.fractions(0, 60, max_denominator=48))
def test_seconds_and_quarters_are_inverse(first: int, later: list[tuple[int, int]], quarters: Fraction) -> None:
    tempo = tempo_map(first, later)
    assert tempo.quarters(tempo.seconds(quarters)) == quarters


@given(st.integers(20, 240), tempos, st.fractions(0, 60, max_denominator=48), st.integers(0, 30))
def test_a_frame_is_where_its_quarters_are(
    first: int, later: list[tuple[int, int]], quarters: Fraction, start: int
) -> None:
    time = fixed_time(tempo_map(first, later), first_full_quarters=Fraction(1), starts_at_s=Fraction(start))
    frame = time.frame(quarters)
    assert abs(time.frame(time.quarters(frame)) - frame) <= 1
    assert abs(time.quarters(frame) - quarters) <= Fraction(240, 60 * 24_000)


def test_bar_one_falls_at_the_given_second_and_the_pickup_before_it() -> None:
    time = fixed_time(TempoMap(), first_full_quarters=Fraction(1), starts_at_s=Fraction(3))
    assert time.frame(Fraction(1)) == 72_000
    assert time.frame(Fraction(0)) == 48_000


def test_music_that_waits_goes_on_where_it_stood() -> None:
    time = TimeMap(
        [
            Anchor(0, Fraction(0), Fraction(60)),
            Anchor(48_000, Fraction(2), Fraction(0)),
            Anchor(96_000, Fraction(2), Fraction(60)),
        ]
    )
    assert time.quarters(72_000) == 2
    assert time.frame(Fraction(3)) == 96_000 + 24_000


def test_time_that_goes_backwards_is_refused() -> None:
    time = TimeMap([Anchor(100, Fraction(1), Fraction(60))])
    with pytest.raises(ValueError, match="backwards"):
        time.add(Anchor(50, Fraction(2), Fraction(60)))
    with pytest.raises(ValueError, match="backwards"):
        time.add(Anchor(150, Fraction(0), Fraction(60)))
