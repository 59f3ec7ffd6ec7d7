"""Reference pitches against the ratios of any acoustics handbook (Zarlino's senario, 1558)."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from heard_frames import quartet

from trainer.practice.reference import references
from trainer.score.model import Line, Note, Score
from trainer.score.pitch import Pitch

RATIOS = {
    ("C3", "C3"): Fraction(1),
    ("C3", "Eb3"): Fraction(6, 5),
    ("C3", "E3"): Fraction(5, 4),
    ("C3", "G3"): Fraction(3, 2),
    ("C3", "Ab3"): Fraction(8, 5),
    ("C3", "A3"): Fraction(5, 3),
    ("C3", "C4"): Fraction(2),
    ("C3", "E4"): Fraction(5, 2),
    ("C3", "G4"): Fraction(3),
}


@pytest.mark.parametrize(("pair", "ratio"), RATIOS.items(), ids=lambda x: str(x))
def test_pure_intervals_above_the_lowest_voice_have_their_ratios(pair: tuple[str, str], ratio: Fraction) -> None:
    low, high = pair
    refs = references(quartet(high, low), against="pure")
    cents = (refs[0][0][0].pitch_c100 - refs[1][0][0].pitch_c100) / 100
    assert cents == pytest.approx(1200 * math.log2(ratio), abs=0.01)


@pytest.mark.parametrize("high", ["F3", "D3", "Bb3", "B3", "F#3", "D#3"])
def test_dissonances_fourths_and_augmented_seconds_stay_equal(high: str) -> None:
    pure = references(quartet(high, "C3"), against="pure")
    assert pure == references(quartet(high, "C3"), against="equal")


def test_a_held_note_moves_when_the_bass_moves_under_it() -> None:
    quarter = Fraction(1)
    top = Line("soprano", (Note(Fraction(0), 2 * quarter, Pitch.parse("E4")),))
    bass = Line("bass", (Note(Fraction(0), quarter, Pitch.parse("C3")), Note(quarter, quarter, Pitch.parse("A2"))))
    steps = references(Score("t", (top, bass)), against="pure")[0][0]
    assert [(s.from_quarters, s.to_quarters) for s in steps] == [(0, 1), (1, 2)]
    equal = 64 * 10_000
    assert steps[0].pitch_c100 - equal == -1369  # 5/4: 386.31 cents
    assert steps[1].pitch_c100 - equal == 196  # 3/2: 701.96 cents


def test_the_lowest_voice_is_on_the_equal_grid_and_a4_moves_all_alike() -> None:
    score = quartet("A4", "A2")
    base = references(score, against="pure", a4_offset_c100=0)
    moved = references(score, against="pure", a4_offset_c100=786)  # 442 Hz
    assert base[1][0][0].pitch_c100 == 45 * 10_000
    assert moved[0][0][0].pitch_c100 - base[0][0][0].pitch_c100 == 786
