"""A section at one microphone in words: its two lines, and nothing that was not heard."""

from __future__ import annotations

from fractions import Fraction

from trainer.judge.crowd import CrowdNote, Entries, crowd_take
from trainer.judge.divided import HEARD, MISSING, UNSURE, DividedNote, DividedTake, HalfNote, divided_take
from trainer.reports.crowd import crowd_as_text, crowd_to_json, divided_to_json
from trainer.reports.look import Look

HEAD = "All at one microphone: several voices, so nobody is judged alone\n"
NOBODY = crowd_take([], 0)
LOWER = HalfNote("D4", HEARD, -12)


def divided(*uppers: HalfNote) -> DividedTake:
    notes = [DividedNote(bar, Fraction(1), str(bar), upper, LOWER) for bar, upper in enumerate(uppers, start=1)]
    return divided_take(notes, "alto 1", "alto 2")


def test_two_lines_are_upper_and_lower() -> None:
    take = divided(HalfNote("F4", HEARD, 6), HalfNote("F4", MISSING), HalfNote("E4", UNSURE))
    assert (
        crowd_as_text(NOBODY, Look(width=100), take)
        == HEAD
        + """\
  Upper (alto 1): the middle is 6 cents sharp, heard on 1 of 2 long notes.
  Lower (alto 2): the middle is 12 cents flat, heard on 3 of 3 long notes.
  Nobody is heard on the upper line's note in bar 2.
  Unsure in bar 3: the two notes are closer than a third, or one covers the other."""
    )
    table = divided_to_json(take)["divisi"]
    assert table["upper"] == {"voice": "alto 1", "sign": "heard", "heard": 1, "told": 2, "centre_cents": 6}
    assert table["notes"][1]["upper"] == {"expected": "F4", "sign": "missing", "centre_cents": None}


def test_a_line_that_is_missing_is_told_once() -> None:
    text = crowd_as_text(NOBODY, Look(width=100), divided(HalfNote("F4", MISSING)))
    assert "Upper (alto 1): nobody is heard on it, 0 of 1 long note.\n" in text
    assert "the upper line's note" not in text


def test_where_both_sing_one_note_the_crowd_is_told_too() -> None:
    note = CrowdNote(4, Fraction(1), "4", "F#4", 0.0, -8, 20, False, 0, 1.0)
    text = crowd_as_text(crowd_take([note], 1), Look(width=100), divided(HalfNote("F4", HEARD, 6)))
    assert "  Where both lines have one note:\n  The middle of it is 8 cents flat, on 1 long note.\n" in text


def test_of_the_long_notes_it_is_said_how_many_were_heard() -> None:
    note = CrowdNote(4, Fraction(1), "4", "F#4", 0.0, -8, 20, False, 0, 1.0)
    assert "8 cents flat, on 1 of 6 long notes.\n" in crowd_as_text(crowd_take([note], 6), Look(width=100))
    assert "8 cents flat, on 2 long notes.\n" in crowd_as_text(crowd_take([note, note], 2), Look(width=100))


def test_lines_that_never_part_for_long_are_said_to() -> None:
    assert "never hold different notes for two seconds" in crowd_as_text(NOBODY, Look(width=100), divided())


def test_entries_are_told_in_a_word_and_only_where_they_are_sure() -> None:
    note = CrowdNote(4, Fraction(1), "4", "F#4", 0.0, -8, 20, False, 0, 1.0)
    for word, told in (("together", "Entries together, on 6 notes"), ("ragged", "Entries ragged, on 6 notes")):
        crowd = crowd_take([note], 1, Entries(6, word))
        assert told in crowd_as_text(crowd, Look(width=100))
        assert crowd_to_json(crowd)["entries"] == word
    assert "ntries" not in crowd_as_text(crowd_take([note], 1, Entries(6, None)), Look(width=100))
    assert "No note of this line lasts two seconds" in crowd_as_text(
        crowd_take([], 0, Entries(6, "ragged")), Look(width=100)
    )
    assert "Entries ragged" in crowd_as_text(crowd_take([], 0, Entries(6, "ragged")), Look(width=100))
