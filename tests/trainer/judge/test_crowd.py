"""A section at one microphone from its notes' figures."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from trainer.judge.crowd import CrowdNote, Entries, crowd_take, entries_of

NOTE = CrowdNote(1, Fraction(1), "1", "F#3", 0.0, -8, 20, False, 0, 1.0)


def notes(*changes: dict[str, object]) -> list[CrowdNote]:
    return [replace(NOTE, bar=k, at_s=4.0 * k, **one) for k, one in enumerate(changes, start=1)]  # type: ignore[arg-type]


def test_the_take_has_the_mean_of_its_notes_and_the_middle_of_their_spreads() -> None:
    take = crowd_take(notes({"centre_cents": -10}, {"centre_cents": -8}, {"centre_cents": 30, "spread_cents": 25}), 5)
    assert (take.centre_cents, take.spread_cents, take.long_notes) == (4, 20, 5)


def test_a_note_far_off_says_nothing_of_the_centre() -> None:
    take = crowd_take(notes({"centre_cents": -10}, {"centre_cents": -8}, {"centre_cents": 3}, {"centre_cents": 90}), 4)
    assert take.centre_cents == -5
    assert crowd_take(notes({"centre_cents": -60}, {"centre_cents": 60}), 2).centre_cents == 0


def test_nothing_heard_has_no_figures() -> None:
    take = crowd_take([], 4)
    assert (take.centre_cents, take.spread_cents, take.octave, take.octave_split, take.long_notes) == (None,) * 4 + (4,)


def test_a_take_mostly_with_vibrato_has_no_spread() -> None:
    wavering = {"vibrato": True, "spread_cents": None}
    assert crowd_take(notes(wavering, wavering, {}), 3).spread_cents is None
    assert crowd_take(notes(wavering, {}, {}), 3).spread_cents == 20


def pitches(*doublings_db: float | None) -> list[CrowdNote]:
    """A note of a pitch of its own for each."""
    return notes(*({"doubling_db": one, "expected": f"F{k}"} for k, one in enumerate(doublings_db)))


@pytest.mark.parametrize(("doubling", "split"), [(2.9, False), (3.0, None), (4.5, None), (4.6, True)])
def test_an_octave_split_is_told_only_where_it_is_clear(doubling: float, split: bool | None) -> None:
    assert crowd_take(pitches(doubling, doubling, doubling), 3).octave_split is split
    assert crowd_take(pitches(None, None, None), 3).octave_split is None


def test_one_pitch_says_nothing_of_octaves_however_often_it_comes() -> None:
    # a formant between two harmonics does so much to one pitch, whoever sings it
    assert crowd_take(notes(*[{"doubling_db": 22.0}] * 6), 6).octave_split is None
    assert crowd_take(pitches(9.0, 8.0), 2).octave_split is None
    assert crowd_take(pitches(22.0, 0.5, 1.0, 2.0), 4).octave_split is False


@pytest.mark.parametrize(("lowest", "split"), [(3.0, True), (2.9, None)])
def test_two_octaves_double_three_pitches_of_four(lowest: float, split: bool | None) -> None:
    assert crowd_take(pitches(7.0, 7.0, lowest, 0.0), 4).octave_split is split


@pytest.mark.parametrize(("long_notes", "split"), [(4, True), (5, None)])
def test_where_more_than_a_quarter_of_the_long_notes_was_something_else_nothing_is_said_of_octaves(
    long_notes: int, split: bool | None
) -> None:
    assert crowd_take(pitches(9.0, 9.0, 9.0), long_notes).octave_split is split


def test_sinking_is_told_from_four_notes_and_fifteen_cents_on() -> None:
    sinking = [{"centre_cents": -8 * k} for k in range(5)]
    assert crowd_take(notes(*sinking), 5).sinking_cents == -32
    assert crowd_take(notes(*sinking[:3]), 3).sinking_cents is None
    assert crowd_take(notes(*[{"centre_cents": -3 * k} for k in range(5)]), 5).sinking_cents is None


@pytest.mark.parametrize(
    ("apart", "word"),
    [
        ([0.02, 0.2, 0.05, 0.03, 0.2, 0.04], "together"),
        ([0.11, 0.02, 0.11, 0.12, 0.03, 0.11], "ragged"),
        ([0.075] * 6, None),
        ([0.02] * 5, None),
        ([], None),
    ],
)
def test_entries_are_told_by_the_middle_one_of_six_or_more(apart: list[float], word: str | None) -> None:
    assert crowd_take([], 4, entries_of(apart)).entries == Entries(len(apart), word)
