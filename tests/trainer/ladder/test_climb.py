"""The ladder: up after two clean takes, back after two poor ones, free to jump, never more than five takes on one rung."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.ladder.climb import Climb
from trainer.ladder.rungs import middle_bars, rungs, strongest
from trainer.library import resolve
from trainer.score.model import Score

MARKS = {"c": "clean", "b": "between", "p": "poor", "n": "nothing", "u": "unfinished"}
TENOR = 2


def after(marks: str, climb: Climb | None = None) -> Climb:
    climb = climb or Climb(9)
    for mark in marks:
        climb = climb.after(MARKS[mark])
    return climb


def test_two_clean_takes_running_lead_up() -> None:
    assert (after("c").at, after("cc").at, after("cbc").at, after("cbcc").at) == (0, 1, 0, 1)
    assert after("cc").held == 0
    assert after("cc" * 3 + "c").at == 3


def test_two_poor_takes_running_lead_back_and_never_below_the_first() -> None:
    assert after("ccpp").at == 0
    assert after("ccpbp").at == 1
    assert after("pppp").at == 0


def test_two_clean_takes_by_luck_lead_up_and_are_not_called_held() -> None:
    lucky = after("bbcc")
    assert (lucky.at, lucky.held) == (1, -1)
    assert after("cbcc").held == 0
    assert after("bcc", Climb(1)).state == "climbing"
    assert after("bccc", Climb(1)).state == "top"


def test_what_was_luck_on_one_day_is_weighed_against_the_others() -> None:
    poor_day = after("bbbbb")
    assert (poor_day.next_day().marks, poor_day.next_day().state) == ((), "climbing")
    assert after("cc", poor_day.next_day()).held == -1  # two clean of seven
    assert after("cc", after("b").next_day()).held == -1
    assert after("ccc", Climb(1)).held == after("bccc", Climb(1)).held == 0


def test_what_was_held_once_stays_known() -> None:
    assert after("ccccpp").held == 1


def test_the_highest_rung_passed_is_the_top() -> None:
    assert after("cc" * 9).state == "top"
    assert after("cc" * 9).held == 8


def test_five_takes_in_vain_on_one_rung_are_enough() -> None:
    assert after("bcbc").state == "climbing"
    assert after("bcbcb").state == "enough"
    assert after("bcbcb").jumped(1).state == "climbing"


def test_silence_and_takes_broken_off_count_for_nothing() -> None:
    assert after("cnuc").at == 1
    assert after("nnnnnn").state == "climbing"


def test_jumping_is_free_as_far_as_there_are_rungs() -> None:
    assert Climb(9).jumped(1).at == 1
    assert Climb(9).jumped(-1).at == 0
    assert Climb(9, 8).jumped(1).at == 8
    assert after("c", Climb(9)).jumped(1).marks == ()


@given(st.text(alphabet="cbpnu><", max_size=60))
def test_whatever_happens_a_rung_is_there_and_nothing_is_held_that_was_not_passed(marks: str) -> None:
    climb = Climb(5)
    for mark in marks:
        climb = climb.jumped(1 if mark == ">" else -1) if mark in "<>" else climb.after(MARKS[mark])
        assert 0 <= climb.at < 5
        assert climb.held < 5
        assert len(climb.marks) <= len(marks)
    if "cc" not in "".join(mark for mark in marks if mark not in "nu<>"):
        assert climb.held == -1


@pytest.fixture(scope="module")
def score() -> Score:
    return resolve("Ferry Bell at Low Water")


def test_the_rungs_go_from_alone_to_all_and_each_company_comes_once(score: Score) -> None:
    found = rungs(score, TENOR, {})
    assert [sorted(rung.sounding) for rung in found] == [[], [], [3], [1], [1, 3], [0, 1, 3], *[[0, 1, 3]] * 3]
    assert [rung.guide for rung in found[:3]] == ["full", "entries", "off"]
    assert [rung.shown for rung in found[5:]] == ["beats", "end", "end", "none"]
    assert found[1].drone == "on"
    assert found[7].silent_bars == (5, 6)


def test_the_voice_that_pulled_most_is_met_before_the_others(score: Score) -> None:
    assert strongest(score, TENOR, {}) == 1
    assert strongest(score, TENOR, {0: 3, 1: 2}) == 0
    assert [sorted(rung.sounding) for rung in rungs(score, TENOR, {0: 3})][3] == [0]
    assert [sorted(rung.sounding) for rung in rungs(score, TENOR, {3: 9})][2:5] == [[3], [0, 1, 3], [0, 1, 3]]


def test_two_parts_and_one_have_shorter_ladders(score: Score) -> None:
    from dataclasses import replace

    two = rungs(replace(score, lines=score.lines[:2]), 0, {})
    assert [rung.name for rung in two][2] == "against the bass"
    assert len(two) == 6
    one = rungs(replace(score, lines=score.lines[:1]), 0, {})
    assert [rung.name for rung in one][-1] == "own line alone"


def test_short_pieces_have_no_bars_to_fall_silent(score: Score) -> None:
    from trainer.score.change import cut

    assert middle_bars(cut(score, 1, 5)) is None
    assert middle_bars(cut(score, 1, 6)) == (3, 3)
