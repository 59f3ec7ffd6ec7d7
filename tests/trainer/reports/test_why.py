"""The numbers behind one beat."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction

import pytest
from handmade_takes import faulty_take, note, take_of

from trainer.practice.signs import Sign
from trainer.practice.take import BeatVerdict, Take
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


def halves_of_beat_two() -> Take:
    """Bar 1 of 4/4: F#3 for a beat, A3 and B3 in beat 2, a rest, then C#4 from the half of beat 4 into beat 1 of bar 2."""
    spans = (("F#3", "1", "1"), ("A3", "2", "1/2"), ("B3", "5/2", "1/2"), ("C#4", "9/2", "3/2"))
    notes = [
        replace(note(1), beat=Fraction(beat), length_beats=Fraction(length), expected=name, sung=name)
        for name, beat, length in spans
    ]
    beats = [
        BeatVerdict(bar, Fraction(beat), str(bar), Sign.REST if (bar, beat) == (1, 3) else Sign.HELD)
        for bar in (1, 2)
        for beat in range(1, 5)
    ]
    return replace(take_of(notes), beats=tuple(beats))


@pytest.mark.parametrize(
    ("place", "sounding"),
    [("1.1", ["F#3"]), ("1.2", ["A3", "B3"]), ("1.2.25", ["A3"]), ("1.2.5", ["B3"]), ("1.3", []), ("1.4", ["C#4"]),
     ("1.4.25", []), ("1.4.5", ["C#4"]), ("2.1", ["C#4"]), ("2.1.25", ["C#4"]), ("2.2", [])],
)  # fmt: skip
def test_every_note_that_sounds_in_a_beat_is_told_and_of_a_place_inside_it_the_one_there(
    place: str, sounding: list[str]
) -> None:
    bar, beat = parse_place(place) or (0, Fraction(0))
    told = why(halves_of_beat_two(), bar, beat) or ""
    assert re.findall(r"note: +([^,]+),", told) == sounding


def test_one_beat_and_one_cent_are_told_in_the_singular() -> None:
    assert "from bar 1 beat 1, 1 beat long" in (why(halves_of_beat_two(), 1, Fraction(1)) or "")
    assert "4 beats long" in (why(faulty_take(), 1, Fraction(1)) or "")


def test_a_beat_that_is_not_there_has_no_reason() -> None:
    assert why(faulty_take(), 99, Fraction(1)) is None
    assert why(faulty_take(), 12, Fraction(1)) is None
    assert why(faulty_take(), 4, Fraction(9)) is None


@pytest.mark.parametrize("sign", list(Sign))
def test_every_sign_has_a_rule(sign: Sign) -> None:
    take = faulty_take()
    assert rule(replace(take.notes[0], signs=(sign,)), take)
