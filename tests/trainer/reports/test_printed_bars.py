"""Bars of a file that prints other numbers: wherever people are told of a bar, both numbers stand there."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from handmade_takes import faulty_take, note
from heard_frames import Sung, frames, judged, quartet
from heldline_command import heldline
from seen_states import SCORE, SINGING, TENOR, beat

from trainer.drill.rounds import Drill
from trainer.formats.drill import write
from trainer.ladder.cause import cause
from trainer.ladder.fallen_silent import returned_words
from trainer.library import resolve
from trainer.live.choices import Choices
from trainer.live.courses import DrillCourse
from trainer.live.desk import Desk
from trainer.live.state import PHASES
from trainer.live.turns import TurnsCourse
from trainer.practice.signs import Sign
from trainer.practice.take import Take, TempoPoint
from trainer.reports.compared import Compared, compared_as_text
from trainer.reports.look import Look
from trainer.reports.text import take_text
from trainer.reports.wording import bars_words
from trainer.score.model import Score
from trainer.score.naming import Names
from trainer.score.time import bars_named
from trainer.ui.lines import Lines
from trainer.ui.parts_lines import PartsLines
from trainer.ui.views import view

WIDE = 1000
"""No line is broken."""

BARS = re.compile(r"\b[Bb]ars? \d++(?:(?:, | and | to )\d++)*+")


def numbered(score: Score) -> Score:
    """The first bar is printed 21."""
    return replace(score, printed_bars=tuple(str(bar.number + 20) for bar in score.bars().bars))


def printed(take: Take) -> Take:
    return replace(
        take,
        notes=tuple(replace(one, printed_bar=str(one.bar + 20)) for one in take.notes),
        beats=tuple(replace(one, printed_bar=str(one.bar + 20)) for one in take.beats),
        clashes=tuple(replace(one, printed_bar=str(one.bar + 20)) for one in take.clashes),
    )


def bare(text: str) -> list[str]:
    """Every bar that is told by one number alone."""
    return [match[0] for match in BARS.finditer(text) if not text[match.end() :].startswith(" (printed ")]


def test_neighbours_are_joined_and_the_printed_numbers_stand_beside() -> None:
    called = {bar: str(bar + 4) for bar in range(1, 10)} | {9: "8a"}
    assert bars_named((1, 2, 3, 6), called) == "bars 1 to 3, 6 (printed 5 to 7, 10)"
    assert bars_named((9,), called) == "bar 9 (printed 8a)"
    assert bars_named((3, 2), {}) == "bars 2 to 3"
    assert bars_words(printed(faulty_take()).notes[:2]) == "bars 1 to 2 (printed 21 to 22)"


@pytest.mark.parametrize("form", ["marks", "lines", "plain"])
def test_a_report_tells_both(form: str) -> None:
    tempos = (60.0, 60.0, 75.0, 60.0, 80.0)
    points = tuple(TempoPoint(bar, Fraction(1), 0.0, tempo) for bar, tempo in enumerate(tempos, start=1))
    text = take_text(replace(printed(faulty_take()), tempo_line=points), Look(WIDE, form=form))
    assert bare(text) == []
    assert "faster in bars 3, 5 (printed 23, 25), at most 80 in bar 5 (printed 25)" in text or form == "plain"


def test_remarks_of_a_take_tell_both() -> None:
    lines = tuple("A3 " * 12 for _ in range(4))
    sinking = [Sung(4 * k, 4 * k + 3.9, 57 - 0.06 * k) for k in range(12)]
    take = judged(numbered(quartet(*lines)), TENOR, frames(sinking, 48.5))
    assert take.drift_cents is not None
    assert bare(" ".join(take.remarks)) == []
    assert "(printed 2" in " ".join(take.remarks)


def test_two_takes_side_by_side_tell_both() -> None:
    take = printed(faulty_take())
    text = compared_as_text(Compared(1, take, 2, take, {bar: bar for bar in range(2, 12)}), Look(WIDE))
    assert "in neither" in text
    assert "Rewritten since, and not compared: bar 1 (printed 21)" in text
    assert bare(text) == []


@pytest.mark.parametrize("phase", PHASES)
def test_the_screen_tells_both_in_every_phase(phase: str) -> None:
    state = replace(
        SINGING,
        score=numbered(SCORE),
        phase=phase,
        beats=tuple(replace(one, printed_bar=str(one.bar + 20)) for one in SINGING.beats),
    )
    text = "\n".join(view(state, Look(WIDE), 24, Names("degrees"), ""))
    assert bare(text) == []
    assert phase not in ("look-through", "singing") or re.search(r"^printed +21 +22 ", text, re.MULTILINE)


@pytest.mark.parametrize("phase", PHASES)
def test_lines_tell_both_in_every_phase(phase: str) -> None:
    beats = tuple(replace(beat(k, Sign.HELD), printed_bar=str(k // 4 + 21)) for k in range(8))
    state = replace(SINGING, score=numbered(SCORE), phase="tuning note", beats=())
    told: list[str] = []
    for face in (Lines(told.append, Names("degrees")), PartsLines(told.append, Names("degrees"))):
        face.show(state)
        face.show(replace(state, phase=phase, beats=beats, lines=(TENOR,), beats_of=(beats,)))
    assert sum(line == "Bar 2 (printed 22): held" for line in told) == 1
    assert "Bar 2 (printed 22): tenor held" in told
    assert bare("\n".join(told)) == []


def test_what_a_course_says_tells_both() -> None:
    bars, choices = numbered(SCORE).bars(), Choices(Desk(TENOR), Fraction(60))
    said = [
        DrillCourse(Drill(((2, 4), (5, 5))), Fraction(60), bars).jump(1, choices).says,
        TurnsCourse(((1, 4), (5, 11)), 4, bars).jump(1, choices).says,
    ]
    assert said == ["Bar 5 (printed 25).", "Bars 5 to 11 (printed 25 to 31)."]


def test_why_a_line_is_lost_and_what_came_of_silent_bars_tell_both() -> None:
    take = printed(faulty_take())
    notes = [replace(note(bar), printed_bar=str(bar + 20)) for bar in range(1, 12)]
    notes[5] = replace(notes[5], signs=(Sign.OFF,))  # a fourth down
    lost = replace(take, notes=tuple(notes))
    assert cause([lost], []).says() == "you lose the line at the leap in bar 6 (printed 26) and come back"
    assert bare(returned_words(take, (3, 4))) == []
    assert "In bars 3 to 4 (printed 23 to 24) the voices" in returned_words(take, (3, 4))


@pytest.mark.parametrize(
    ("says", "told"),
    [
        (
            "a leap in bar 3; two in bars 5 and 7",
            "a leap in bar 3 (printed 23); two in bars 5 and 7 (printed 25 and 27)",
        ),
        ("bars 2 to 4, 6 and 9 lie low", "bars 2 to 4, 6 and 9 (printed 22 to 24, 26 and 29) lie low"),
        ("Bar 10 beat 1, from bar 12", "Bar 10 (printed 30) beat 1, from bar 12"),
    ],
)
def test_a_sentence_in_reading_order_gets_the_printed_numbers_beside(says: str, told: str) -> None:
    assert numbered(SCORE).bars().beside(says) == told
    assert SCORE.bars().beside(says) == says


def test_an_exercise_shown_and_weighed_tells_both(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", str(WIDE))
    piece = resolve("The Neighbour's Rudder")
    place = tmp_path / "own.drill"
    place.write_bytes(write(numbered(piece)))
    shown = heldline("library", "show", place).out
    assert "crux: two fourths in bars 2 and 11 (printed 22 and 31)" in shown
    assert re.search(r"^printed +21 +22 ", shown, re.MULTILINE)
    weighed = " ".join(heldline("singable", place).out.split())
    assert "(printed 2" in weighed
    assert (bare(shown), bare(weighed)) == ([], [])
    notes = heldline("library", "show", place, "--json").table["voices"][0]["notes"]
    assert (notes[0]["bar"], notes[0]["printed_bar"]) == (1, "21")
    assert not re.search(r"^printed ", heldline("library", "show", "The Neighbour's Rudder").out, re.MULTILINE)
