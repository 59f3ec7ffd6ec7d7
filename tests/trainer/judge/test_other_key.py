"""A line sung in another key, from frames written by hand: one sentence says so, and every verdict stays what it is."""

from __future__ import annotations

from dataclasses import replace

import pytest
from heard_frames import Sung, as_written, frames, judged, quartet

from trainer.practice.signs import Sign
from trainer.practice.take import Take

FOUR = (
    "B4 A4 G4 A4 B4 C5 B4 A4",
    "D4 E4 E4 F#4 G4 E4 D4 D4",
    "G3 C4 B3 D4 D4 G3 G3 F#3",
    "G2 A2 E3 D3 G2 C3 D3 D3",
)
TENOR = 2
WORDS = {
    -4: "a major third lower", 2: "a whole tone higher", -1: "a semitone lower", 5: "a fourth higher",
    -9: "a major sixth lower", -12 - 3: "an octave and a minor third lower",
}  # fmt: skip


def take_of(sung: list[Sung], **settings: object) -> Take:
    return judged(quartet(*FOUR, quarters=1), TENOR, frames(sung, 9.0), **settings)


def moved(semitones: float, **changed: float) -> list[Sung]:
    """The tenor so many semitones away; *changed* names notes by n0, n1, ... and says where they lie instead."""
    sung = [replace(s, midi=s.midi + semitones) for s in as_written(quartet(*FOUR, quarters=1), TENOR)]
    return [replace(s, midi=s.midi + changed.get(f"n{k}", 0.0)) for k, s in enumerate(sung)]


def keys(take: Take) -> list[str]:
    return [said for said in take.remarks if "taken so" in said]


@pytest.mark.parametrize("semitones", WORDS)
def test_a_line_sung_all_through_in_another_key_is_said_once_with_its_interval(semitones: int) -> None:
    take = take_of(moved(semitones))
    assert take.remarks == (f"Sung {WORDS[semitones]} than written: taken so, 8 of 8 notes are in tune.",)
    assert {note.sign for note in take.notes} <= {Sign.OFF, Sign.PULLED}


@pytest.mark.parametrize(
    ("octave", "semitones", "words"),
    [
        ("steady", 36 + 4, "three octaves and a major third higher"),
        ("strict", 36 + 4, "three octaves and a major third higher"),
        ("strict", 48 + 2, "4 octaves and a whole tone higher"),
    ],
)
def test_a_whistle_octaves_above_what_is_written_is_called_too(octave: str, semitones: int, words: str) -> None:
    bass = quartet(*FOUR, quarters=1)
    whistled = [replace(note, midi=note.midi + semitones) for note in as_written(bass, 3)]
    assert keys(judged(bass, 3, frames(whistled, 9.0), octave=octave)) == [
        f"Sung {words} than written: taken so, 8 of 8 notes are in tune."
    ]


def test_one_other_note_of_eight_leaves_the_key_and_is_counted() -> None:
    assert keys(take_of(moved(-4, n3=1.0))) == [
        "Sung a major third lower than written: taken so, 7 of 8 notes are in tune."
    ]


def test_two_other_notes_of_eight_are_no_key() -> None:
    assert keys(take_of(moved(-4, n3=1.0, n5=-2.0))) == []


def test_five_notes_are_too_few_for_a_key() -> None:
    assert keys(take_of(moved(-4)[:5])) == []
    assert len(keys(take_of(moved(-4)[:6]))) == 1


def test_notes_out_of_tune_in_that_key_are_not_counted() -> None:
    assert keys(take_of(moved(-4, n2=0.45)))[0].endswith("7 of 8 notes are in tune.")
    assert keys(take_of(moved(-4, n2=0.45), tolerance_cents=45))[0].endswith("8 of 8 notes are in tune.")


def test_between_two_keys_it_is_about_the_nearer() -> None:
    assert "about a major third lower" in keys(take_of(moved(-3.7)))[0]


@pytest.mark.parametrize("semitones", [0, 12, -24, 0.45])
def test_an_octave_and_a_common_offset_are_no_other_key(semitones: float) -> None:
    assert keys(take_of(moved(semitones))) == []


def test_sung_alone_in_another_key_every_note_is_held_and_the_key_is_said() -> None:
    take = take_of(moved(-4), alone=True)
    assert [note.sign for note in take.notes] == [Sign.HELD] * 8
    assert take.remarks == ("Sung a major third lower than written: taken so, 8 of 8 notes are in tune.",)
    assert take.whole_take_cents == -400


def test_a_line_that_sinks_by_more_than_a_semitone_is_in_no_key() -> None:
    sinking = [replace(s, midi=s.midi - 0.3 * k) for k, s in enumerate(moved(0))]
    assert keys(take_of(sinking, alone=True)) == []


def test_another_voices_line_stays_that_voices_even_where_it_runs_parallel() -> None:
    thirds = ("B3 C#4 B3 D#4 C#4 B3 C#4 D#4", "G3 A3 G3 B3 A3 G3 A3 B3")
    lower = quartet("F5 F5 F5 F5 F5 F5 F5 F5", "E4 E4 E4 E4 E4 E4 E4 E4", *thirds, quarters=1)
    sung = as_written(lower, 3)
    take = judged(lower, 2, frames(sung, 9.0))
    assert keys(take) == []
    assert take.remarks[0].startswith("This was the bass's line")
