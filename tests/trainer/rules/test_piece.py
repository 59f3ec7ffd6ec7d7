"""What a score is, said by its file or shown by its rhythm; the chord and the mode. Expected values are common practice, no source."""

from __future__ import annotations

import pytest
from written import score

from trainer.rules.chord import chord_of
from trainer.rules.piece import Piece

DORIAN_CANTUS = "D4 | F | E | D | G | F | A | G | F | E | D"
"""The melody on D of Fux 1725, in his worked figures (CC0 transcription)."""


def first_chord(text: str) -> tuple[str, str, int]:
    piece = Piece(score(text))
    found = piece.chord(piece.texture.slices[0])
    assert found is not None
    return found.quality, found.figures, found.inversion


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("C5 // G4 // E4 // C3", ("major", "", 0)),
        ("C5 // A4 // F4 // A3", ("major", "6", 1)),
        ("C5 // G4 // E4 // G3", ("major", "6/4", 2)),
        ("F5 // D4 // B3 // G3", ("dominant seventh", "7", 0)),
        ("F5 // D4 // G3 // B2", ("dominant seventh", "6/5", 1)),
        ("F5 // B4 // G4 // D3", ("dominant seventh", "4/3", 2)),
        ("G4 // D4 // B3 // F3", ("dominant seventh", "4/2", 3)),
        ("A4 // F4 // D4 // B2", ("half-diminished seventh", "7", 0)),
        ("F4 // D4 // B3", ("diminished", "", 0)),
        ("G#4 // E4 // C4", ("augmented", "", 0)),
        ("C5 // E4 // G3 // C3", ("major", "", 0)),
        ("E4 // C3", ("major", "", 0)),
        ("C5 // E3", ("major", "6", 1)),
    ],
)
def test_a_chord_has_its_quality_figures_and_inversion(text: str, expected: tuple[str, str, int]) -> None:
    assert first_chord(text) == expected


def test_no_stack_of_thirds_is_no_chord() -> None:
    piece = Piece(score("D5 // G4 // C4"))
    assert chord_of(piece.texture.slices[0].sounding, piece.texture.lines[2][0]) is None


def test_headers_say_the_species() -> None:
    piece = Piece(score("species: 2; cantus: bass; sing: soprano :: . A4 | D // D4 | F"))
    assert piece.species == ("2", "cantus")


@pytest.mark.parametrize(
    ("upper", "kind"),
    [
        ("A4 | D | G | F | E | D | F | E | D | C# | D", "1"),
        (". A4 | D A | G A | B A | G B | A F | F E | E D | D A | B C# | D", "2"),
        (
            "A4 B C D | D C B A | G A B C | D C B A | G A B C | A B C D | F E D C | E D C B | A B C D | C B A C# | D",
            "3",
        ),
        (". A4 | - D | - C | - B | - E | - D | - F | - E | - D | - C# | D", "4"),
        (". A4 | - G A B | C - B A | - F | E F G - | - F | D E F - | - E | A D | - C# | D", "5"),
        ("A4 | G A,B,A | A | B | A | G | F | E | F | C# | D", "free"),
    ],
)
def test_rhythm_shows_the_species(upper: str, kind: str) -> None:
    species = Piece(score(f"{upper} // {DORIAN_CANTUS}")).species
    assert species == (("free", "free") if kind == "free" else (kind, "cantus"))


def test_of_whole_note_lines_the_cantus_begins_and_ends_on_the_final_and_closes_by_step() -> None:
    assert Piece(score(f"{DORIAN_CANTUS} // D3 | D | C | F | E | D | F | E | D | A | D")).species == ("cantus", "1")


def test_more_than_four_voices_are_free_unless_asked_for_a_species() -> None:
    upper = " // ".join(["D5 | C | B4 | A | B | C5 | D | C | B | C | D"] * 3)
    four, five = (
        f"{upper} // {DORIAN_CANTUS}",
        f"{upper} // D4 | E | F | E | D | E | F | E | D | E | D // {DORIAN_CANTUS}",
    )
    assert "cantus" in Piece(score(four)).species
    assert set(Piece(score(five)).species) == {"free"}
    assert "cantus" in Piece(score(five), "1").species
    assert set(Piece(score(four), "free").species) == {"free"}


def test_the_mode_is_said_or_shown_by_signature_and_last_bass() -> None:
    said = Piece(score("mode: F# phrygian :: C#5 | A4 // F#4 | F#4")).mode
    assert said is not None
    assert (said.final, said.name, said.fifths, said.said) == ("F#", "phrygian", 2, True)
    shown = Piece(score("key: 2 sharps :: C#5 | A4 // F#4 | F#4")).mode
    assert shown is not None
    assert (shown.final, shown.name, shown.said) == ("F#", "phrygian", False)
    plain = Piece(score("F#4 G | A B | C# A | B // D4 C# | D G3 | A A | B")).mode
    assert plain is not None
    assert (plain.final, plain.name, plain.fifths) == ("B", "aeolian", 2)


@pytest.mark.parametrize(
    ("fifths", "letters"), [(0, "0000000"), (2, "1001000"), (-3, "00-100-1-1"), (7, "1111111"), (-7, "-1-1-1-1-1-1-1")]
)
def test_a_signature_alters_its_letters(fifths: int, letters: str) -> None:
    piece = Piece(score("C4 // C4"))
    assert piece.mode is not None
    mode = piece.mode._replace(fifths=fifths)
    assert "".join(str(mode.natural(letter)) for letter in range(7)) == letters


def test_the_leading_tone_lies_a_semitone_below_the_final() -> None:
    piece = Piece(score("mode: D dorian :: C#5 | D // E4 | D"))
    assert piece.mode is not None
    raised, final = piece.texture.lines[0]
    assert piece.mode.is_leading(raised)
    assert piece.mode.inflected(raised)
    assert piece.mode.is_final(final)
    assert [piece.mode.degree(tone) for tone in piece.texture.lines[1]] == [2, 1]
