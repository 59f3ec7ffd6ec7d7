"""Bars as the singers' copies call them: printed numbers, a number added once, rehearsal marks."""

from __future__ import annotations

from dataclasses import replace

import pytest

from trainer.library import resolve
from trainer.score.model import Score
from trainer.score.time import ordinal
from trainer.section.copies import Copies, NoSuchBar

ALTO = 1


@pytest.fixture(scope="module")
def score() -> Score:
    piece = resolve("Rope over the Sluice")
    return replace(piece, facts=(*piece.facts, ("marks", "A 2, B 5, C 8")))


@pytest.mark.parametrize(
    ("words", "bars"),
    [("6", (6, 6)), ("6-9", (6, 9)), (" 6 - 7 ", (6, 7)), ("A", (2, 4)), ("b", (5, 7)), ("C", (8, 9)), ("A-C", (2, 7)),
     ("B+1", (6, 6)), ("A+1-B+2", (3, 7)), ("A-6", (2, 6))],
)  # fmt: skip
def test_bars_and_rehearsal_marks_are_understood(score: Score, words: str, bars: tuple[int, int]) -> None:
    assert Copies(score).span(words) == bars


@pytest.mark.parametrize("words", ["10", "0", "9-6", "D", "B+9", "", "6,7", "six to nine", "6-", "B-B"])
def test_what_the_copies_do_not_have_is_one_clear_sentence(score: Score, words: str) -> None:
    with pytest.raises(NoSuchBar) as told:
        Copies(score).span(words)
    assert "\n" not in str(told.value)
    assert str(told.value)


def test_a_number_said_once_makes_bars_answer_to_the_copies(score: Score) -> None:
    copies = Copies(score, 100)
    assert copies.span("106-109") == (6, 9)
    assert (copies.called(6), copies.called_span(6, 9)) == ("106", "106-109")
    with pytest.raises(NoSuchBar, match="bars 101 to 109 and the marks A, B, C"):
        copies.span("6")


def test_a_file_with_numbers_of_its_own_answers_to_them(score: Score) -> None:
    printed = replace(score, printed_bars=tuple(str(number) for number in range(40, 49)))
    assert Copies(printed).span("45-48") == (6, 9)
    assert Copies(printed, 10).span("55") == (6, 6)


@pytest.fixture(scope="module")
def twice(score: Score) -> Score:
    """Bars 1 to 3, 1 to 3 once more with another ending, and then a piece that begins at 1 again."""
    return replace(score, printed_bars=("1", "2", "3", "1", "2", "4", "1", "2", "3"))


def test_of_bars_of_one_number_it_is_said_which(twice: Score) -> None:
    copies = Copies(twice, 10)
    assert [copies.called(bar) for bar in (1, 4, 6, 7, 9)] == ["11 (1st)", "11 (2nd)", "14", "11 (3rd)", "13 (2nd)"]
    assert copies.called_span(4, 5) == "11-12 (2nd)"
    assert copies.called_span(5, 6) == "12 (2nd)-14"
    assert copies.called_span(3, 4) == "13 (1st)-11 (2nd)"
    assert copies.number(5) == "12"


def test_what_bars_are_called_can_be_typed(twice: Score) -> None:
    for copies in (Copies(twice), Copies(twice, 10)):
        for first in range(1, 10):
            for last in range(first, 10):
                assert copies.span(copies.called_span(first, last)) == (first, last)
                assert copies.span(copies.called_span(first, last).replace(" ", "")) == (first, last)
    assert Copies(twice).span("3-1") == (3, 4)
    assert Copies(twice).span("2") == (2, 2)
    with pytest.raises(NoSuchBar, match=r"there is no bar 2 \(4th\); the copies have bars 1 \(1st\) to 3 \(2nd\)"):
        Copies(twice).span("2 (4th)")


def test_which_of_them_is_said_as_english_counts() -> None:
    told = [ordinal(number) for number in (1, 2, 3, 4, 11, 12, 13, 21, 22, 112)]
    assert told == ["1st", "2nd", "3rd", "4th", "11th", "12th", "13th", "21st", "22nd", "112th"]
