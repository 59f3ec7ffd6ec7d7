"""What is flagged in the look-through."""

from __future__ import annotations

from seen_states import SCORE, TENOR

from trainer.formats._drill_read import read
from trainer.score.naming import Names
from trainer.ui.reading import flags, reading_lines, seen, steps


def score(mode, *lines):
    names = ("soprano", "alto", "tenor", "bass")[-len(lines) :] if len(lines) != 2 else ("soprano", "bass")
    text = f"title: Scales\nmeter: 4/4\nmode: {mode}\ntempo: 60\n\n"
    return read(
        (text + "\n".join(f"{n} | {line}" for n, line in zip(names, lines, strict=True)) + "\n").encode(), "x.drill"
    )


def test_shared_notes_clashes_and_breaths_are_flagged():
    # bar 2 begins with the top line's tied F5 a seventh over the bass, resolving to the sixth: 7-6, as every textbook has it
    tied = score("D dorian", "D5 F5 | - E5' |", "D4 | D4 |", "D3 | G3 |")
    told = [flags(step) for step in steps(tied, 0, Names())]
    assert [told[0], told[1][:1], told[2]] == [[], ["clash 7-6"], ["breath after"]]
    piece = score("C ionian", "E5 | E5 |", "C4 | E4 |", "C4 | C4 |", "C3 | A3 |")
    told = [flags(step) for step in steps(piece, 1, Names())]
    assert told[0] == ["same note as the tenor"]
    assert "you part from the tenor" in told[1]


def test_the_reader_of_lines_gets_one_line_a_bar():
    piece = score("C ionian", "E5 | E5 |", "C4 | G4 |", "G3 | C4 |", "C3 | A3 |")
    first, second = reading_lines(piece, 1, Names())
    assert first == "Bar 1: 1"
    assert second.startswith("Bar 2: 5, ")
    assert "up a 5th" in second


def test_the_notes_at_which_a_slip_is_likely_are_marked_and_say_why():
    piece = score(
        "C ionian",
        "G5 | F5 | G5 | F5 | G5 |",
        "E4 | D4 | E4 | D4 | A4 |",
        "C4 | C4 | C4 | B3 | C4 |",
        "C3 | C3 | C3 | G3 | C3 |",
    )
    found = steps(piece, 1, Names())
    assert [seen(step) for step in found] == ["3", "2", "3", "2", "6*"]
    assert [step.marked for step in found] == [False, False, False, False, True]
    assert "up a 5th" in found[4].dangers
    assert len(found[4].dangers) <= 2


def test_what_other_voices_pull_with_is_called_as_the_own_notes_are():
    told = [flag for step in steps(SCORE, TENOR, Names("german")) for flag in flags(step)]
    assert "the alto's H pulls (a minor third above)" in told
    assert "the bass's Ais pulls (a major third above)" in told
