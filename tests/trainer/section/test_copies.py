"""Bars as the singers' copies call them: printed numbers, a number added once, rehearsal marks."""

from __future__ import annotations

from dataclasses import replace

import pytest

from trainer.library import resolve
from trainer.score.model import Score
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
