"""What a file says of itself cannot write to the terminal that shows it."""

from __future__ import annotations

from fractions import Fraction

from trainer.score.model import Line, Note, Score
from trainer.score.pitch import Pitch

ESCAPE = "Two \x1b[31mOars\a\x9b2J\x00"
HARMLESS = "Two  [31mOars  2J "


def test_title_names_words_and_facts_hold_no_control_characters() -> None:
    note = Note(Fraction(0), Fraction(4), Pitch.parse("A4"), lyric=ESCAPE)
    score = Score(ESCAPE, (Line(ESCAPE, (note,)),), facts=(("crux", ESCAPE),))
    assert (score.title, score.lines[0].name, score.lines[0].notes[0].lyric, score.fact("crux")) == (HARMLESS,) * 4


def test_letters_of_any_language_and_hard_blanks_stay() -> None:
    title = "Fährlied\u00a0Nr. 2, Паром, 渡し船"
    assert Score(title, (Line("a", ()),)).title == title
