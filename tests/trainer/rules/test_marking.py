"""Every note is marked as a teacher would: interval over the lowest voice, kind, tendency. Common practice, no source."""

from __future__ import annotations

import pytest
from written import score

from trainer.rules.marking import Mark, marks
from trainer.rules.piece import Piece


def marked(text: str) -> list[Mark]:
    return list(marks(Piece(score(text))))


def test_a_suspension_is_told_at_its_three_moments() -> None:
    found = [
        (one.tone.name, one.over_lowest, one.kind)
        for one in marked(". C5 | - B | C // A4 | D4 | E4")
        if one.tone.voice == 0
    ]
    assert found == [
        ("C5", "m3", "prepares 7-6"),
        ("C5", "m7", "suspension 7-6, resolved"),
        ("B4", "M6", "resolves 7-6"),
        ("C5", "m6", "chord tone"),
    ]


def test_an_ornament_and_a_retardation_are_named() -> None:
    kinds = [one.kind for one in marked(". C5 | - B,A B C | D // A4 | D4 | G4")]
    assert "suspension 7-6, ornamented (turn below)" in kinds
    assert "retardation 7-8, rises" in [one.kind for one in marked(". C5 | - D | E // A4 | D4 | C4")]


def test_every_note_is_marked_once_where_it_is_struck() -> None:
    piece = Piece(score("A4 G F E | F // D4 | D4"))
    struck = [(one.tone.voice, one.tone.place) for one in marks(piece) if one.at == one.tone.on]
    assert sorted(struck) == [(tone.voice, tone.place) for line in piece.texture.lines for tone in line]


def test_intervals_with_every_voice_stand_beside_the_note() -> None:
    found = {one.tone.name: dict(one.against) for one in marked("C5 // G4 // E4 // C3")}
    assert found["G4"] == {0: "P4", 2: "m3", 3: "P12"}


def test_passing_notes_and_accents_are_told_apart() -> None:
    kinds = [one.kind for one in marked("A4 G F E | D // D4 | D4") if one.tone.voice == 0]
    assert kinds == ["chord tone", "passing", "chord tone", "passing", "chord tone"]
    accented = [one.kind for one in marked("C5 B A G | F // E4 | D4") if one.tone.voice == 0]
    assert accented == ["chord tone", "chord tone", "accented passing", "chord tone", "chord tone"]


def test_tendencies_are_the_leading_tone_altered_notes_and_sevenths() -> None:
    close = {one.tone.name: one.tendency for one in marked("mode: D dorian :: C#5 | D // E4 | D")}
    assert (close["C#5"], close["E4"], close["D5"]) == ("leading tone", "", "")
    assert {one.tone.name: one.tendency for one in marked("mode: D dorian :: Bb4 | A // G4 | F")}["Bb4"] == "altered"
    seventh = {one.tone.name: one.tendency for one in marked("mode: C ionian :: F5 | E // D4 | C // B3 | C // G3 | C")}
    assert (seventh["F5"], seventh["B3"], seventh["G3"]) == ("chordal seventh", "leading tone", "")


def kinds(text: str, voice: int = 0) -> list[str]:
    return [one.kind for one in marked(text) if one.tone.voice == voice]


def test_a_suspension_struck_again_is_told_as_one_and_prepared_by_nothing_that_it_is() -> None:
    assert kinds("A4 C5 | C5 B | A // A3 | D4 | F4") == [
        "chord tone",
        "chord tone",
        "suspension 7-6, resolved",
        "resolves 7-6",
        "chord tone",
    ]


def test_a_note_that_ends_one_suspension_and_prepares_the_next_is_told_by_what_it_ends() -> None:
    assert kinds(". C5 | - B | - A | G // A4 | D4 | C4 | B3") == [
        "prepares 7-6",
        "suspension 7-6, resolved",
        "resolves 7-6",
        "suspension 7-6, resolved",
        "resolves 7-6",
        "chord tone",
    ]


def test_outcomes_and_shapes_are_told() -> None:
    assert kinds(". C5 | - A | B // A4 | D4 | E4")[1] == "suspension 7-6, broken"
    assert kinds("A4 C5 G4 F | E // D4 | A3")[1] == "leapt"
    assert kinds("A4 G | F G | A // D4 | D | D") == [
        "chord tone",
        "accented passing",
        "chord tone",
        "accented passing",
        "chord tone",
    ]


def test_the_lowest_tone_has_no_interval_over_itself_and_a_held_one_is_told_only_where_it_becomes_dissonant() -> None:
    found = marked("A4 | B // D4 F | G")
    assert [(one.tone.name, one.over_lowest) for one in found] == [
        ("A4", "P5"), ("D4", ""), ("F4", ""), ("B4", "M3"), ("G4", ""),
    ]  # fmt: skip
    assert [
        (one.tone.name, one.at == one.tone.on) for one in marked(". C5 | - B // A4 | D4") if one.tone.voice == 0
    ] == [
        ("C5", True),
        ("C5", False),
        ("B4", True),
    ]


@pytest.mark.parametrize(
    ("text", "name", "tendency"),
    [
        ("mode: D dorian :: C#5 | D // E4 | D", "C#5", "leading tone"),
        ("mode: D dorian :: C5 | D // E4 | D", "C5", ""),
        ("mode: D dorian :: G#4 | A // E4 | F", "G#4", "altered"),
        ("mode: C ionian :: F5 | E // D4 | C // B3 | C // G3 | C", "F5", "chordal seventh"),
        ("mode: C ionian :: G4 F | E // D4 | C // B3 | C // G3 | C", "F4", "chordal seventh"),
        ("mode: C ionian :: G4 - - F | E // D4 | C // B3 | C // G3 | C", "F4", ""),
        ("mode: C ionian :: G4 F G E | E // D4 | C // B3 | C // G3 | C", "F4", ""),
        ("mode: C ionian :: F5 | E // D4 | C // G3 | C", "F5", ""),  # without its third no chord
        ("mode: D dorian :: C5 | B // F4 | G // A3 | G", "C5", ""),
    ],
)
def test_what_a_note_wants(text: str, name: str, tendency: str) -> None:
    assert next(one.tendency for one in marked(text) if one.tone.name == name) == tendency


def test_a_suspended_seventh_has_the_tendency_of_its_suspension() -> None:
    found = [
        one
        for one in marked("mode: C ionian :: . C5 | - B | C // A4 | F | E // E4 | A | G // A3 | D4 | C")
        if one.tone.name == "C5"
    ]
    assert [one.tendency for one in found][:2] == ["", ""]
