"""Every dissonance gets the name that a teacher would give it, before any rule judges it.

Shapes are those of J. J. Fux, Gradus ad Parnassum, 1725, by his figures (CC0 transcription); W. S. Rockstro, "Strict Counterpoint",
Grove's Dictionary vol. 3, 1883; F. J. Lehmann, Simple Counterpoint in Forty Lessons, lessons VI and IX.
"""

from __future__ import annotations

import pytest
from written import score

from trainer.rules.dissonance import Dissonance
from trainer.rules.piece import Piece

TWO_BARS_OF = "// D4 | E4"


def dissonances(text: str) -> list[Dissonance]:
    return list(Piece(score(text)).dissonances)


def names(text: str) -> list[tuple[str, str]]:
    return [(one.tone.name, one.shape) for one in dissonances(text)]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("A4 G | F // D4 | D4", [("G4", "passing")]),
        ("F4 G | A // D4 | D4", [("G4", "passing")]),
        ("A4 G | A // D4 | D4", [("G4", "neighbour")]),
        ("A4 G F E | F // D4 | D4", [("G4", "passing"), ("E4", "neighbour")]),
        ("A4 B C5 D | C // D4 | E4", [("C5", "passing")]),
        ("C5 B G A | B // C4 | G4", [("B4", "cambiata")]),
        ("C5 B G E | F // C4 | D4", [("B4", "broken cambiata")]),
        ("C5 B G F | E // C4 | C4", [("B4", "broken cambiata"), ("F4", "passing")]),
        ("E4 F A G | A // C4 | C4", [("F4", "cambiata")]),
        ("C5 D B C | E // C4 | C4", [("D5", "double neighbour"), ("B4", "double neighbour")]),
        ("E4 F,E F G | A // C4 | C4", [("F4", "neighbour"), ("F4", "passing")]),
        ("A4 G | E // D4 | D4", [("G4", "left by leap"), ("E4", "alone")]),
        ("F4 C5 | B4 // D4 | D4", [("C5", "reached by leap")]),
        ("F4 C5 | A4 // D4 | D4", [("C5", "leapt")]),
        ("A4 - - G | G // D4 | E4", [("G4", "anticipation")]),
    ],
)
def test_a_struck_dissonance_is_named_by_how_it_is_reached_and_left(text: str, expected: list[tuple[str, str]]) -> None:
    assert names(text) == expected


@pytest.mark.parametrize(
    ("text", "figure", "outcome", "ornament"),
    [
        (". C5 | - B | A // A4 | D4 | F4", "7-6", "resolved", ""),
        (". C5 | - B | C // C4 | G4 | C4", "4-3", "resolved", ""),
        (". E5 | - D | C // C4 | D4 | A4", "9-8", "resolved", ""),
        ("F4 | G | A // . F4 | - E | F", "2-3", "resolved", ""),
        ("F4 | B4 | A // . F4 | - E | F", "4-5", "resolved", ""),
        (". C5 | - D | E // A4 | D4 | C4", "7-8", "rises", ""),
        (". C5 | - A | B // A4 | D4 | E4", "7-6", "broken", ""),
        (". C5 | - B B C | D // A4 | D4 | G4", "7-6", "ornamented", "resolution anticipated"),
        (". C5 | - B,A B C | D // A4 | D4 | G4", "7-6", "ornamented", "turn below"),
        (". C5 | - A B C | D // A4 | D4 | G4", "7-6", "ornamented", "third below"),
        (". C5 | - C B C | D // A4 | D4 | G4", "7-6", "ornamented", "restruck"),
        (". C5 | - D B C | D // A4 | D4 | G4", "7-6", "ornamented", "upper neighbour"),
        (". C5 | - F4 B C | D // A4 | D4 | G4", "7-6", "ornamented", "fifth below"),
        (". C5 | - G4 B C | D // A4 | D4 | G4", "7-6", "ill ornamented", ""),
        (". C5 | - B - A | G // A4 | D4 | G4", "7-6", "early", ""),
        (". C5 | - - - B | A // A4 | D4 | F4", "7-6", "late", ""),
    ],
)
def test_a_suspension_is_named_with_its_figure_and_what_becomes_of_it(
    text: str, figure: str, outcome: str, ornament: str
) -> None:
    found = Piece(score(text)).suspensions
    assert [(one.figure, one.outcome, one.ornament) for one in found] == [(figure, outcome, ornament)]


def test_in_triple_time_a_suspension_may_fall_on_either_later_beat() -> None:
    for bar in ("- B A", "- - B"):
        found = Piece(score(f"meter: 3/2 :: . . C5 | {bar} | C // A4 | D4 | E4")).suspensions
        assert [(one.figure, one.outcome) for one in found] == [("7-6", "resolved")]


def test_a_leap_to_a_dissonance_is_no_ornament_of_a_suspension() -> None:
    (one,) = Piece(score(". D5 | - B4 C D | E // G4 | E4 | C4")).suspensions
    assert (one.figure, one.outcome) == ("7-6", "ornamented")
    (other,) = Piece(score(". D5 | - B4 C D | E // G4 | E4 | C4 // G3 | A3 | C4")).suspensions
    assert (other.figure, other.outcome) == ("4-3", "ill ornamented")


def test_a_tie_into_a_consonance_is_no_suspension() -> None:
    assert Piece(score(". A4 | - F | G // D4 | D4 | E4")).dissonances == ()


def test_a_fourth_is_dissonant_over_the_lowest_voice_only() -> None:
    assert [one.vertical for one in dissonances("D5 // A4")] == ["fourth"]
    assert dissonances("D5 // A4 // F4") == []
    assert dissonances("A4 // E4 // C4") == []


def test_the_lowest_voice_is_the_one_that_sounds_lowest() -> None:
    crossed = dissonances("A4 // D4 // G4")
    assert {one.bass.name for one in crossed} == {"D4"}


def test_tones_that_clash_only_with_a_suspended_one_are_not_dissonant_beside_it() -> None:
    found = names(". C5 | - B | C // E4 | F4 | E4 // A3 | D4 | C4")
    assert found == [("C5", "suspension")]


def test_what_moves_under_a_suspension_is_measured_by_its_resolution() -> None:
    consonant_with_b = names("E5 | F D F D | E // . C5 | - B | C // A3 | D4 | C4")
    assert consonant_with_b == [("C5", "suspension")]
    dissonant_with_b = names("E5 | F G A F | E // . C5 | - C5 | C // A3 | D4 | C4")
    assert ("G5", "passing") in dissonant_with_b


@pytest.mark.parametrize("bar", ["- C B C", "- B,A B C", "- D B C"])
def test_the_notes_of_an_ornament_are_no_dissonances_beside_it(bar: str) -> None:
    assert names(f". C5 | {bar} | D // A4 | D4 | G4")[:1] == [("C5", "suspension")]
    assert len(names(f". C5 | {bar} | D // A4 | D4 | G4")) == 2  # and the passing note of the fourth quarter


def test_a_note_struck_again_over_the_bar_line_is_a_suspension_but_for_its_tie() -> None:
    assert names("A4 C5 | C5 B | A // A3 | D4 | F4") == [("C5", "restruck")]


def test_a_bass_held_for_two_bars_is_a_pedal() -> None:
    found = names("E5 B4 | D F | E // C4 | - | C4")
    assert ("D5", "pedal") in found


def test_a_tie_from_an_accent_over_a_whole_bar_is_long_and_not_suspended() -> None:
    assert names("E5 | F // C4 | -") == [("F5", "pedal")]
    assert names("G4 | F | E // C4 | - B | C") == [("C4", "suspension"), ("B3", "neighbour")]


def test_every_dissonance_of_a_chord_is_told_once() -> None:
    found = dissonances("B4 // F4 // G4 // C4")
    assert len({one.tone for one in found}) == len(found)
