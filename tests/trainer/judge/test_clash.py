"""Clashes told from the score, and as three events from the sound. Figures as in any figured-bass primer."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from heard_frames import Sung, as_written, frames, judged

from audio.heard import KeyNote
from trainer.judge.clash import clashes
from trainer.practice.plan import make_plan
from trainer.practice.settings import Settings
from trainer.score.model import Line, Note, Score
from trainer.score.pitch import Pitch
from trainer.takes.judging import judge


def line(name: str, *notes: tuple[str, int]) -> Line:
    at, made = 0, []
    for pitch, length in notes:
        if pitch != "-":
            made.append(Note(Fraction(at), Fraction(length), Pitch.parse(pitch)))
        at += length
    return Line(name, tuple(made))


# fourth species above and below a bass, two chains of the usual figures
SEVEN_SIX = Score(
    "7-6", (line("soprano", ("-", 2), ("C5", 4), ("B4", 2), ("C5", 4)), line("bass", ("E3", 4), ("D3", 4), ("C3", 4)))
)
TWO_THREE = Score(
    "2-3", (line("soprano", ("C5", 4), ("D5", 4), ("E5", 4)), line("bass", ("-", 2), ("C4", 4), ("B3", 2), ("C4", 4)))
)
FOUR_THREE = Score(
    "4-3", (line("soprano", ("-", 2), ("C5", 4), ("B4", 2), ("C5", 4)), line("bass", ("A3", 4), ("G3", 4), ("C3", 4)))
)
NINE_EIGHT = Score(
    "9-8", (line("soprano", ("-", 2), ("D5", 4), ("C5", 2), ("C5", 4)), line("bass", ("B3", 4), ("C4", 4), ("C3", 4)))
)
LAWFUL = Score(
    "tie", (line("soprano", ("-", 2), ("C5", 4), ("D5", 2), ("C5", 4)), line("bass", ("A3", 4), ("F3", 4), ("C3", 4)))
)


@pytest.mark.parametrize("score", [SEVEN_SIX, FOUR_THREE, NINE_EIGHT])
def test_a_note_tied_into_a_dissonance_is_a_clash_with_its_figure(score: Score) -> None:
    plan = make_plan(score, (0,), Settings())
    found = clashes(score, plan.bars, 0, plan.lines[0].targets)
    assert [(c.figure, c.at_quarters) for c in found] == [(score.title, 4)]


def test_the_bass_too_can_be_the_tied_voice() -> None:
    plan = make_plan(TWO_THREE, (1,), Settings())
    assert [c.figure for c in clashes(TWO_THREE, plan.bars, 1, plan.lines[0].targets)] == ["2-3"]


def test_a_tie_into_a_consonance_is_no_clash() -> None:
    plan = make_plan(LAWFUL, (0,), Settings())
    assert clashes(LAWFUL, plan.bars, 0, plan.lines[0].targets) == []


def test_a_clash_sung_as_written_is_prepared_held_and_resolved() -> None:
    take = judged(SEVEN_SIX, 0, frames(as_written(SEVEN_SIX, 0), 12.5))
    clash = take.clashes[0]
    assert (clash.bar, clash.beat, clash.figure) == (2, 1, "7-6")
    assert [clash.prepared.value, clash.held.value, clash.resolved.value] == ["held"] * 3


def test_a_clash_resolved_half_a_beat_early_was_prepared_left_early_and_resolved() -> None:
    sung = as_written(SEVEN_SIX, 0)
    sung[0], sung[1] = replace(sung[0], end_s=5.4), replace(sung[1], start_s=5.4)
    clash = judged(SEVEN_SIX, 0, frames(sung, 12.5)).clashes[0]
    assert [clash.prepared.value, clash.held.value, clash.resolved.value] == ["held", "left early", "held"]


def test_a_clash_whose_dissonance_sags_is_flat_there_and_nowhere_else() -> None:
    sung = as_written(SEVEN_SIX, 0)
    sung[:1] = [replace(sung[0], end_s=4.0), Sung(4.0, 5.98, sung[0].midi - 0.5)]
    clash = judged(SEVEN_SIX, 0, frames(sung, 12.5)).clashes[0]
    assert [clash.prepared.value, clash.held.value, clash.resolved.value] == ["held", "flat", "held"]


def test_a_keyed_clash_let_go_early_is_left_early() -> None:
    def keys(end_s: float) -> list[KeyNote]:
        second = 24_000
        return [
            KeyNote(0, 2 * second, round(end_s * second), 72),
            KeyNote(0, 6 * second, 8 * second, 71),
            KeyNote(0, 8 * second, 12 * second, 72),
        ]

    kept = judge(SEVEN_SIX, [0], keys(6.0), settings=Settings(), sources=["keyed"]).takes[0]
    left = judge(SEVEN_SIX, [0], keys(5.2), settings=Settings(), sources=["keyed"]).takes[0]
    assert kept.clashes[0].held.value == "held"
    assert (left.clashes[0].prepared.value, left.clashes[0].held.value) == ("held", "left early")
