"""A piece in another key remembers the written one. Intervals and keys are worked out by hand (common practice, no source)."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from trainer.library import resolve
from trainer.score.change import cut
from trainer.score.model import Key
from trainer.score.moved import as_written, interval_of, interval_words, key_words, moved, moved_words, semitones_moved
from trainer.score.naming import Names
from trainer.score.pitch import Interval
from trainer.score.sameness import bar_music

FERRY = resolve("Ferry Bell at Low Water")  # B dorian, the tenor from F#3


@pytest.mark.parametrize(
    ("semitones", "first", "words"),
    [
        (-4, "D3", "a major third down, in G dorian; written in B dorian"),
        (-1, "F3", "an augmented unison down, in Bb dorian; written in B dorian"),
        (3, "A3", "a minor third up, in D dorian; written in B dorian"),
        (12, "F#4", "an octave up, in B dorian; written in B dorian"),
    ],
)
def test_both_keys_are_told(semitones, first, words):
    there = moved(FERRY, semitones)
    assert str(there.lines[2].notes[0].pitch) == first
    assert moved_words(there) == words
    assert semitones_moved(there) == semitones


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("german", "a perfect fifth down, in E dorian; written in H dorian"),
        ("fixed-do", "a perfect fifth down, in mi dorian; written in si dorian"),
        ("sol-fa", "a perfect fifth down, in E dorian; written in B dorian"),
    ],
)
def test_keys_follow_the_names_of_notes(kind, words):
    assert moved_words(moved(FERRY, -7), Names(kind)) == words
    signed = replace(FERRY, facts=(), keys=((Fraction(0), Key(-2, "minor")),))
    assert key_words(signed, Names("german")) == "G minor"
    assert key_words(replace(signed, keys=((Fraction(0), Key(-2)),)), Names("german")) == "B major"  # B flat
    assert key_words(replace(signed, facts=(("mode", "the old one"),)), Names("german")) == "the old one"


def test_it_is_the_same_exercise_and_comes_back_to_its_last_letter():
    for semitones in range(-12, 13):
        there = moved(FERRY, semitones)
        assert as_written(there) == FERRY
        assert bar_music(there) == bar_music(FERRY)
        assert [n.pitch.midi + semitones for n in FERRY.lines[0].notes] == [n.pitch.midi for n in there.lines[0].notes]


def test_a_second_move_is_counted_from_what_is_written():
    assert moved(moved(FERRY, -4), 3) == moved(FERRY, 3)
    assert moved(moved(FERRY, -4), 0) == FERRY
    assert moved_words(FERRY) == ""


def test_some_bars_of_a_moved_piece_are_some_bars_of_the_same():
    assert bar_music(as_written(cut(moved(FERRY, -4), 3, 5))) == bar_music(cut(FERRY, 3, 5))


def test_an_interval_is_named_and_found_again():
    for words, interval in (("minor third down", Interval(-2, -3)), ("diminished fifth up", Interval(4, 6))):
        assert interval_words(interval) == words
        assert interval_of(words) == interval
    for wrong in ("a bit up", "minor third", "minor third sideways", ""):
        with pytest.raises(ValueError, match="interval"):
            interval_of(wrong)
    with pytest.raises(ValueError, match="octave"):
        moved(FERRY, 13)
