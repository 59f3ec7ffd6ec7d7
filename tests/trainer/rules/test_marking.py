"""Every note is marked as a teacher would: interval over the lowest voice, kind, tendency. Common practice, no source."""

from __future__ import annotations

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
