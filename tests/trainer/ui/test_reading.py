"""What is flagged in the look-through."""

from __future__ import annotations

import pytest

from trainer.formats._drill_read import read
from trainer.score.naming import Names
from trainer.score.pitch import Pitch
from trainer.ui.reading import flags, leap_words, reading_lines, steps


def score(mode, *lines):
    names = ("soprano", "alto", "tenor", "bass")[-len(lines) :] if len(lines) != 2 else ("soprano", "bass")
    text = f"title: Scales\nmeter: 4/4\nmode: {mode}\ntempo: 60\n\n"
    return read(
        (text + "\n".join(f"{n} | {line}" for n, line in zip(names, lines, strict=True)) + "\n").encode(), "x.drill"
    )


@pytest.mark.parametrize(
    ("low", "high", "told"),
    [
        ("C4", "F4", "up a 4th"),
        ("G4", "C4", "down a 5th"),
        ("C4", "C5", "up an octave"),
        ("C4", "B4", "up a 7th"),
        ("C4", "F#4", "up a 4th"),
        ("C4", "Gb4", "up a 5th"),
        ("C4", "E4", ""),
        ("C4", "C4", ""),
        ("C4", "D5", "up a 9th"),
    ],
)
def test_leaps_of_a_fourth_and_more_are_flagged_with_their_way(low, high, told):
    assert leap_words(Pitch.parse(low), Pitch.parse(high)) == told


def test_shared_notes_clashes_and_breaths_are_flagged():
    # bar 2 begins with the top line's tied F5 a seventh over the bass, resolving to the sixth: 7-6, as every textbook has it
    tied = score("D dorian", "D5 F5 | - E5' |", "D4 | D4 |", "D3 | G3 |")
    assert [flags(step) for step in steps(tied, 0, Names())] == [[], ["clash 7-6"], ["breath after"]]
    piece = score("C ionian", "E5 | E5 |", "C4 | E4 |", "C4 | C4 |", "C3 | A3 |")
    told = [flags(step) for step in steps(piece, 1, Names())]
    assert told == [["same note as tenor"], []]


def test_the_reader_of_lines_gets_one_line_a_bar():
    piece = score("C ionian", "E5 | E5 |", "C4 | G4 |", "G3 | C4 |", "C3 | A3 |")
    assert reading_lines(piece, 1, Names()) == ["Bar 1: 1", "Bar 2: 5, up a 5th"]
