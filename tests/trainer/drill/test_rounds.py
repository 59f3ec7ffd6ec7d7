"""A drill: slower after two poor takes, back up after a clean one, three clean end it, five poor propose another way."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.drill.rounds import SLOWEST, Drill, stages

MARKS = {"c": "clean", "b": "between", "p": "poor", "n": "nothing", "u": "unfinished"}


def after(marks: str, drill: Drill | None = None) -> Drill:
    drill = drill or Drill(((8, 10),))
    for mark in marks:
        drill = drill.after(MARKS[mark])
    return drill


def test_three_clean_takes_running_end_it() -> None:
    assert after("cc").state == "going"
    assert after("ccc").state == "held"
    assert after("ccbcc").state == "going"


def test_two_poor_takes_make_it_slower_and_a_clean_one_brings_it_back_up() -> None:
    assert after("b").tempo == 1
    assert after("bp").tempo == Fraction(4, 5)
    assert after("bpc").tempo == 1
    assert after("bpcc").state == "going"  # the slow one does not count towards the three
    assert after("bpcccc").state == "held"
    assert after("bppp").tempo == Fraction(16, 25)


def test_a_tempo_that_is_kept_is_kept() -> None:
    assert after("pppp", Drill(((8, 10),), steps="kept")).tempo == 1


def test_five_poor_takes_propose_another_way_and_begin_to_count_anew() -> None:
    assert after("bpbp").state == "going"
    assert after("bpbpb").state == "another way"
    assert after("bpbpb" + "bpbp").state == "going"
    assert after("bpbpc" + "bpbp").state == "going"


def test_where_nobody_is_heard_it_stops_and_is_not_taken_for_poor() -> None:
    assert after("nnnn").state == "going"
    assert after("nnnnn").state == "nobody"
    assert after("nn").tempo == 1


def test_a_take_broken_off_tells_nothing() -> None:
    assert after("ccuc").state == "held"


def test_the_last_bar_comes_first_and_each_stage_has_its_run_up_bar() -> None:
    assert stages(8, 10, earliest=1, order="last first") == ((9, 10), (8, 10), (7, 10))
    assert stages(8, 10, earliest=1, order="forward") == ((7, 10),)
    assert stages(1, 2, earliest=1, order="last first") == ((1, 2), (1, 2))
    assert stages(1, 1, earliest=0, order="forward") == ((0, 1),)


def test_one_clean_take_takes_an_inner_stage_three_the_last() -> None:
    drill = Drill(stages(8, 10, earliest=1, order="last first"))
    assert after("c", drill).bars == (8, 10)
    assert after("cc", drill).bars == (7, 10)
    assert after("ccccb", drill).state == "going"
    assert after("ccccc", drill).state == "held"


@given(st.text(alphabet="cbpnu", max_size=40))
def test_whatever_is_sung_tempo_and_stage_stay_within_bounds(marks: str) -> None:
    drill = after(marks, Drill(stages(8, 10, earliest=1, order="last first")))
    assert SLOWEST <= drill.tempo <= 1
    assert drill.bars in drill.stages
    assert drill.poor < 5
    assert drill.clean < 3


@pytest.mark.parametrize("last", "bp")
def test_a_fault_is_never_sung_more_than_five_times_running_without_a_word(last: str) -> None:
    drill, running = Drill(((8, 10),)), 0
    for _ in range(30):
        drill = drill.after(MARKS[last])
        running = 0 if drill.state != "going" else running + 1
        assert running < 5
