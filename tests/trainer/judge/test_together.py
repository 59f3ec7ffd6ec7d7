"""Singers against each other, from verdicts written by hand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from handmade_takes import note, take_of

from trainer.judge.together import side_by_side, together
from trainer.practice.signs import Sign
from trainer.practice.take import Performance, Take

VOICES = ("soprano", "alto", "tenor")


def performance(*cents: int, **more: object) -> Performance:
    return Performance(tuple(line(k, [note(bar, cents=c, **more) for bar in range(1, 5)]) for k, c in enumerate(cents)))


def line(k: int, notes: list, **more: object) -> Take:
    return replace(take_of(notes), voice=VOICES[k], voice_number=k + 1, **more)


def test_whoever_stands_away_from_the_others_is_named_and_they_are_not() -> None:
    found = together(performance(-30, -28, -4))
    assert dict(found.cents) == {"soprano": -14, "alto": -11, "tenor": 25}
    assert len(found.chords) == 4
    assert found.chords[0].widest == ("tenor", 25)


def test_all_flat_alike_are_in_tune_with_each_other() -> None:
    assert set(dict(together(performance(-40, -41, -39)).cents).values()) <= {-2, -1, 0, 1, 2}


def test_wrong_notes_and_silence_are_no_part_of_a_chord() -> None:
    whole = performance(0, 0, 0)
    off = note(2, Sign.OFF, cents=-300)
    silent = note(3, Sign.SILENT, cents=None, start_s=None, end_s=None, onset_error_ms=None)
    tenor = line(2, [note(1), off, silent, note(4)])
    found = together(Performance((*whole.takes[:2], tenor)))
    assert [chord.bar for chord in found.chords] == [1, 4]
    assert dict(found.cents)["tenor"] is None  # two chords say nothing of a piece


def test_a_note_that_is_over_is_no_part_of_the_next_chord() -> None:
    whole = performance(0, 0, 0)
    tenor = line(2, [note(bar) for bar in (1, 3, 4)])
    found = together(Performance((*whole.takes[:2], tenor)))
    assert [chord.bar for chord in found.chords] == [1, 3, 4]


def test_who_comes_in_behind_the_others_is_told_by_how_much() -> None:
    whole = performance(0, 0, 0, onset_error_ms=200)
    tenor = line(2, [note(bar, onset_error_ms=290) for bar in range(1, 5)])
    found = together(Performance((*whole.takes[:2], tenor)))
    assert dict(found.onset_ms)["tenor"] == 90
    assert dict(found.onset_ms)["soprano"] == -45


def test_what_all_of_them_sank_is_one_figure() -> None:
    takes = tuple(
        replace(take, drift_cents=drift)
        for take, drift in zip(performance(0, 0, 0).takes, (-30, -34, -20), strict=True)
    )
    assert together(Performance(takes)).moved_cents == -30
    assert together(performance(0, 0, 0)).moved_cents is None


def test_one_voice_taken_twice_is_not_side_by_side() -> None:
    one = line(0, [note(1)])
    assert not side_by_side(Performance((one, one)))
    assert not side_by_side(Performance((one,)))
    assert side_by_side(performance(0, 0))
    assert not side_by_side(Performance((one, replace(line(1, [note(1)]), source="keyed"))))


def test_of_two_the_difference_is_both_of_theirs() -> None:
    found = together(performance(10, -10))
    assert dict(found.cents) == {"soprano": 20, "alto": -20}
    assert found.chords[0].beat == Fraction(1)
