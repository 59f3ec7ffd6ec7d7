"""Scores made from scores: nothing but what was asked for changes."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import scores

from trainer.library import resolve
from trainer.score.change import cut, transpose, with_tempo
from trainer.score.model import Key, Line, Note, Score
from trainer.score.pitch import Interval, Pitch
from trainer.score.time import Meter, TempoMap

MINOR_THIRD, FIFTH, OCTAVE = Interval(2, 3), Interval(4, 7), Interval(7, 12)


def spelled(score: Score, line: int = 0) -> list[str]:
    return [str(note.pitch) for note in score.lines[line].notes]


def test_ferry_bell_a_minor_third_up_is_in_d_dorian() -> None:
    # by hand: B dorian (three sharps) moved a minor third up is D dorian (no signs)
    moved = transpose(resolve("1"), MINOR_THIRD)
    assert spelled(moved, 3) == ["D3", "C3", "B2", "A2", "B2", "D3", "B2", "A2", "B2", "C#3", "D3"]
    assert spelled(moved, 2)[-1] == "F#3"
    assert moved.keys == ((Fraction(0), Key(0, "dorian")),)
    assert moved.fact("mode") == "D dorian"
    assert moved.fact("crux") == resolve("1").fact("crux")


@settings(deadline=None, max_examples=50)
@given(score=scores(), interval=st.sampled_from([FIFTH, OCTAVE, Interval(1, 2), Interval(-3, -5), Interval(0, 0)]))
def test_there_and_back_is_where_it_was(score: Score, interval: Interval) -> None:
    try:
        moved = transpose(score, interval)
    except ValueError:
        return  # a double sharp moved sharper has no sign
    assert transpose(moved, interval.inverse) == score
    for before, after in zip(score.lines, moved.lines, strict=True):
        assert [a.pitch.midi - b.pitch.midi for b, a in zip(before.notes, after.notes, strict=True)] == [
            interval.semitones
        ] * len(before.notes)


def test_a_note_that_no_sign_can_write_is_refused() -> None:
    score = Score("x", (Line("a", (Note(Fraction(0), Fraction(1), Pitch("B", 2, 4)),)),))
    with pytest.raises(ValueError, match="cannot be written"):
        transpose(score, Interval(0, 1))


def test_a_cut_keeps_the_bars_with_their_printed_numbers() -> None:
    part = cut(resolve("1"), 9, 10)
    assert spelled(part) == ["E4", "F#4"]
    assert spelled(part, 3) == ["G#2", "A#2"]
    assert [(bar.number, bar.printed) for bar in part.bars().bars] == [(1, "9"), (2, "10")]
    assert part.end_quarters == 8


def test_a_note_held_over_the_cut_keeps_what_sounds_inside() -> None:
    line = Line(
        "a",
        (
            Note(Fraction(2), Fraction(4), Pitch("C", 0, 4), "low", breath_after=True),
            Note(Fraction(6), Fraction(4), Pitch("D", 0, 4), breath_after=True),
        ),
    )
    (held, following) = cut(Score("x", (line,)), 2, 2).lines[0].notes
    assert (held.onset_quarters, held.length_quarters, held.breath_after) == (0, 2, True)
    assert (following.onset_quarters, following.length_quarters, following.breath_after) == (2, 2, False)


def test_a_cut_starts_in_the_meter_key_and_tempo_of_its_place() -> None:
    notes = tuple(Note(Fraction(n), Fraction(1), Pitch("C", 0, 4)) for n in range(14))
    score = Score(
        "x",
        (Line("a", notes),),
        meters=((Fraction(0), Meter(4, 4)), (Fraction(4), Meter(3, 4)), (Fraction(10), Meter(4, 4))),
        keys=((Fraction(0), Key(1)), (Fraction(7), Key(2))),
        tempo=TempoMap(((Fraction(0), Fraction(60)), (Fraction(8), Fraction(90)))),
    )
    part = cut(score, 3, 4)
    assert part.meters == ((Fraction(0), Meter(3, 4)), (Fraction(3), Meter(4, 4)))
    assert part.keys == ((Fraction(0), Key(2)),)
    assert part.tempo.points == ((Fraction(0), Fraction(60)), (Fraction(1), Fraction(90)))


def test_a_cut_from_the_pickup_keeps_it_and_one_after_it_does_not() -> None:
    notes = tuple(Note(Fraction(n), Fraction(1), Pitch("C", 0, 4)) for n in range(9))
    score = Score("x", (Line("a", notes),), pickup_quarters=Fraction(1))
    assert cut(score, 0, 1).pickup_quarters == 1
    assert len(cut(score, 0, 1).lines[0].notes) == 5
    assert cut(score, 1, 2).pickup_quarters == 0
    assert len(cut(score, 1, 2).lines[0].notes) == 8
    assert cut(score, 1, 2).printed_bars == ()


@settings(deadline=None, max_examples=50)
@given(score=scores())
def test_all_bars_cut_out_is_the_whole(score: Score) -> None:
    numbers = [bar.number for bar in score.bars().bars]
    assert cut(score, numbers[0], numbers[-1]) == score


@pytest.mark.parametrize(("first", "last"), [(0, 3), (3, 12), (5, 4), (12, 13)])
def test_bars_that_are_not_there_are_named(first: int, last: int) -> None:
    with pytest.raises(KeyError, match="bars 1 to 11"):
        cut(resolve("1"), first, last)


def test_a_new_tempo_moves_all_marks_alike() -> None:
    score = Score("x", resolve("1").lines, tempo=TempoMap(((Fraction(0), Fraction(60)), (Fraction(8), Fraction(90)))))
    assert with_tempo(score, Fraction(40)).tempo.points == ((Fraction(0), Fraction(40)), (Fraction(8), Fraction(60)))
