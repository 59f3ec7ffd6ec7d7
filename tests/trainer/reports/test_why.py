"""The numbers behind one beat."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from handmade_takes import faulty_take

from trainer.practice.signs import Sign
from trainer.reports.why import parse_place, rule, why


@pytest.mark.parametrize(
    ("text", "place"),
    [("5.1", (5, Fraction(1))), ("5", (5, Fraction(1))), ("12.2.5", (12, Fraction(5, 2))), (" 0.4 ", (0, Fraction(4)))],
)
def test_a_place_is_bar_then_beat(text: str, place: tuple[int, Fraction]) -> None:
    assert parse_place(text) == place


@pytest.mark.parametrize("text", ["", "a", "5.", ".5", "-1", "5.1.2.3", "5,1", "9" * 40])
def test_anything_else_is_no_place(text: str) -> None:
    assert parse_place(text) is None


def test_the_beats_own_sound_and_the_whole_note_both_stand() -> None:
    told = why(faulty_take(), 1, Fraction(4)) or ""
    first, *rest = told.splitlines()
    assert first == "Bar 1 beat 4: flat, 30 cents flat (from the sound of this beat alone)"
    body = "\n".join(rest)
    assert "held" in body
    assert "4 cents flat, give or take 3" in body
    assert "5.5 a second, 40 cents each way" in body
    assert "80 cents below" in body


def test_a_pull_says_whose_note_it_was_and_by_which_rule() -> None:
    told = why(faulty_take(), 5, Fraction(3)) or ""
    assert "G#4" in told
    assert "on the note of the soprano" in told


def test_the_judges_own_numbers_are_shown_as_it_gave_them() -> None:
    take = faulty_take()
    notes = (replace(take.notes[0], why=(("clear", "97 of 100"),)), *take.notes[1:])
    assert "97 of 100" in (why(replace(take, notes=notes), 1, Fraction(1)) or "")


def test_a_beat_that_is_not_there_has_no_reason() -> None:
    assert why(faulty_take(), 99, Fraction(1)) is None
    assert why(faulty_take(), 12, Fraction(1)) is None


@pytest.mark.parametrize("sign", list(Sign))
def test_every_sign_has_a_rule(sign: Sign) -> None:
    take = faulty_take()
    assert rule(replace(take.notes[0], signs=(sign,)), take)
