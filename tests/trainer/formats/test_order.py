"""The sung order of written measures: what must hold whatever signs a file has."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.errors import ScoreError
from trainer.formats import MOST_BARS
from trainer.formats._order import sung_order
from trainer.formats._written import Measure

ENDINGS = st.sampled_from([(), (), (), (1,), (2,), (1, 2), (3,), (9,)])
MEASURES = st.builds(
    Measure,
    repeat_from=st.booleans(),
    repeat_times=st.sampled_from([0, 0, 2, 3]),
    ending_starts=ENDINGS,
    ending_stops=st.booleans(),
    segno=st.booleans(),
    coda=st.booleans(),
    to_coda=st.booleans(),
    fine=st.booleans(),
    jump=st.sampled_from(["", "", "capo", "segno"]),
)


@settings(max_examples=300, deadline=None)
@given(measures=st.lists(MEASURES, max_size=9))
def test_any_signs_give_an_order_that_ends_or_a_reason(measures: list[Measure]) -> None:
    outcome = order_or_reason(measures)
    if isinstance(outcome, str):
        assert "coda" in outcome or "segno" in outcome
    else:
        assert len(outcome) <= MOST_BARS
        assert all(0 <= index < len(measures) and time >= 1 for index, time in outcome)


def order_or_reason(measures: list[Measure]) -> list[tuple[int, int]] | str:
    try:
        return sung_order(tuple(measures), "x")
    except ScoreError as err:
        return err.what


@settings(max_examples=100, deadline=None)
@given(count=st.integers(0, 20))
def test_measures_without_signs_are_sung_once_in_their_order(count: int) -> None:
    assert sung_order(tuple(Measure() for _ in range(count)), "x") == [(index, 1) for index in range(count)]


@settings(max_examples=100, deadline=None)
@given(before=st.integers(0, 4), inside=st.integers(1, 4), after=st.integers(0, 4), times=st.integers(2, 5))
def test_a_section_is_sung_as_often_as_its_sign_says(before: int, inside: int, after: int, times: int) -> None:
    measures = [Measure() for _ in range(before + inside + after)]
    measures[before].repeat_from = True
    measures[before + inside - 1].repeat_times = times
    order = [index for index, _ in sung_order(tuple(measures), "x")]
    section = list(range(before, before + inside))
    assert order == [*range(before), *section * times, *range(before + inside, before + inside + after)]


@pytest.mark.parametrize("times", [5001, 10**8])
def test_a_repeat_without_end_is_refused(times: int) -> None:
    with pytest.raises(ScoreError, match="more than 5000 measures"):
        sung_order((Measure(repeat_times=times),), "x")
