"""Intervals by letters and semitones, chords with figures and qualities, and what a mode says of a note.

Names, figures and qualities are the trade's (any handbook of harmony; common practice, no source).
"""

from __future__ import annotations

import pytest
from written import score

from trainer.rules.chord import figures
from trainer.rules.intervals import name, named, perfect, perfect_class, simple, size, step
from trainer.rules.mode import Mode
from trainer.rules.piece import Piece
from trainer.rules.texture import Texture, Tone
from trainer.score.pitch import Pitch


def tone(text: str) -> Tone:
    pitch = Pitch.parse(text)
    return Tone(0, 0, 0, 8, pitch.midi, pitch.diatonic, pitch.diatonic % 7, pitch.alter)


@pytest.mark.parametrize(
    ("low", "high", "called"),
    [
        ("C4", "C4", "P1"), ("C4", "C#4", "A1"), ("C4", "Db4", "m2"), ("C4", "D4", "M2"), ("C4", "D#4", "A2"),
        ("E4", "Gb4", "d3"), ("C4", "Eb4", "m3"), ("C4", "E4", "M3"), ("C4", "E#4", "A3"), ("C#4", "F4", "d4"),
        ("C4", "F4", "P4"), ("F4", "B4", "A4"), ("B4", "F5", "d5"), ("C4", "G4", "P5"), ("C4", "G#4", "A5"),
        ("C4", "Ab4", "m6"), ("C4", "A4", "M6"), ("C4", "A#4", "A6"), ("C#4", "Bb4", "d7"), ("C4", "Bb4", "m7"),
        ("C4", "B4", "M7"), ("C4", "C5", "P8"), ("C4", "C#5", "A8"), ("C4", "D5", "M9"), ("C4", "G5", "P12"),
        ("C4", "C6", "P15"), ("Fb4", "B4", "AA4"), ("B4", "Fb5", "dd5"), ("Cb4", "E4", "A3"), ("Cb4", "E#4", "AA3"),
        ("C#4", "Ebb4", "dd3"), ("Fbb4", "B4", "?4"),
    ],
)  # fmt: skip
def test_an_interval_has_its_trade_name_whichever_tone_comes_first(low: str, high: str, called: str) -> None:
    assert name(tone(low), tone(high)) == called
    assert name(tone(high), tone(low)) == called


def test_a_size_goes_from_the_lower_written_tone() -> None:
    assert size(tone("G4"), tone("C4")) == (4, 7)
    assert size(tone("C#4"), tone("C4")) == (0, 1)
    assert size(tone("B#4"), tone("C5")) == (1, 0)
    assert named(1, 0) == "d2"
    assert step(tone("C4"), tone("A3")) == -2


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [
        ("C4", "G4", (4, 7)), ("C3", "G5", (4, 7)), ("C4", "C5", (0, 0)), ("C4", "C4", (0, 0)), ("C3", "C5", (0, 0)),
        ("C4", "D5", (1, 2)), ("C4", "E6", (2, 4)), ("C4", "B4", (6, 11)),
    ],
)  # fmt: skip
def test_a_simple_size_lies_within_the_octave(low: str, high: str, expected: tuple[int, int]) -> None:
    assert simple(tone(low), tone(high)) == expected


@pytest.mark.parametrize(
    ("low", "high", "kind", "kind_of_class"),
    [
        ("C4", "G4", 5, 5),
        ("C4", "G5", 5, 5),
        ("C4", "C4", 1, 8),
        ("C4", "C5", 8, 8),
        ("C3", "C5", 8, 8),
        ("B4", "F5", 0, 0),
        ("C4", "E4", 0, 0),
        ("C4", "F4", 0, 0),
        ("C4", "C#5", 0, 0),
    ],
)
def test_fifths_octaves_and_unisons_are_perfect(low: str, high: str, kind: int, kind_of_class: int) -> None:
    assert perfect(tone(low), tone(high)) == kind
    assert perfect_class(tone(high), tone(low)) == kind_of_class


# chords, written from the top


def chord(text: str) -> tuple[str, str, int]:
    piece = Piece(score(text))
    found = piece.chord(piece.texture.slices[0])
    assert found is not None
    return found.quality, found.figures, found.inversion


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("A4 // F4 // D4", ("minor", "", 0)),
        ("A4 // F#4 // D4", ("major", "", 0)),
        ("D5 // A4 // F4", ("minor", "6", 1)),
        ("D5 // F4 // A3", ("minor", "6/4", 2)),
        ("B4 // F4 // D4", ("diminished", "6", 1)),
        ("C5 // G#4 // E4", ("augmented", "6", 1)),
        ("A4 // D4", ("incomplete", "", 0)),
        ("F4 // D4", ("minor", "", 0)),
        ("B4 // D4", ("minor", "6", 1)),
        ("G#4 // Bb3", ("other", "6", 1)),
        ("C5 // A4 // F4 // D4", ("minor seventh", "7", 0)),
        ("E5 // C5 // A4 // F4", ("major seventh", "7", 0)),
        ("F4 // D4 // B3 // G#3", ("diminished seventh", "7", 0)),
        ("G#4 // E4 // C4 // A3", ("minor major seventh", "7", 0)),
        ("C5 // F4 // D4", ("minor seventh", "7", 0)),
        ("C5 // A4 // D4", ("incomplete", "7", 0)),
        ("C5 // F#4 // D4", ("dominant seventh", "7", 0)),
        ("B4 // G#4 // E4 // C4", ("other", "7", 0)),
        ("A4 // F4 // C4 // D3", ("minor seventh", "7", 0)),
        ("D5 // A4 // F4 // C4", ("minor seventh", "4/2", 3)),
        ("D5 // C5 // F4 // A3", ("minor seventh", "4/3", 2)),
        ("D5 // C5 // A4 // F4", ("minor seventh", "6/5", 1)),
    ],
)
def test_a_chord_has_quality_figures_and_inversion(text: str, expected: tuple[str, str, int]) -> None:
    assert chord(text) == expected


@pytest.mark.parametrize(
    ("text", "seventh", "complete"),
    [
        ("A4 // F4 // D4", None, True),
        ("A4 // D4", None, False),
        ("C5 // A4 // F4 // D4", "C", True),
        ("C5 // F4 // D4", "C", False),
    ],
)
def test_a_chord_knows_its_seventh_and_whether_it_is_whole(text: str, seventh: str | None, complete: bool) -> None:
    piece = Piece(score(text))
    found = piece.chord(piece.texture.slices[0])
    assert found is not None
    assert found.seventh == (None if seventh is None else "CDEFGAB".index(seventh))
    assert found.complete is complete


@pytest.mark.parametrize(
    ("bass", "upper", "shown"),
    [
        ("C4", ("E4", "G4", "C5"), ""), ("C4", ("E4",), ""), ("C4", ("G4",), ""), ("C4", ("C5",), ""), ("C4", ("A4",), "6"),
        ("C4", ("E4", "A4"), "6"), ("C4", ("F4", "A4"), "6/4"), ("C4", ("F4", "G4"), "5/4"), ("C4", ("F4",), "4"),
        ("C4", ("D5", "E4", "G4"), "9"), ("C4", ("D5", "F4"), "4/2"), ("C4", ("B4", "E4", "G4"), "7"),
        ("C4", ("B4", "E4", "D5"), "9/7"), ("C4", ("G4", "A4", "E4"), "6/5"), ("C4", ("F4", "A4", "E4"), "4/3"),
        ("C4", ("D4", "F4", "A4"), "4/2"), ("C4", ("B4", "F4"), "7/4"), ("C4", ("D4", "A4"), "6/2"),
        ("C4", ("D4", "E4", "A4"), "9/6/3"), ("C4", ("D4",), "2"), ("C4", ("B4",), "7"), ("C4", ("D4", "G4"), "5/2"),
    ],
)  # fmt: skip
def test_figures_stand_over_the_bass(bass: str, upper: tuple[str, ...], shown: str) -> None:
    assert figures([tone(one) for one in upper], tone(bass)) == shown


# modes


def mode(name: str) -> Mode:
    found = Piece(score(f"mode: {name} :: A4 | B // D4 | E")).mode
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("name", "natural", "leading"),
    [
        ("D dorian", "D E F G A B C", "C#"),
        ("E phrygian", "E F G A B C D", "D#"),
        ("F lydian", "F G A B C D E", "E"),
        ("G mixolydian", "G A B C D E F", "F#"),
        ("Bb major", "Bb C D Eb F G A", "A"),
        ("C minor", "C D Eb F G Ab Bb", "B"),
        ("F# phrygian", "F# G A B C# D E", "E#"),
        ("Ab ionian", "Ab Bb C Db Eb F G", "G"),
    ],
)
def test_a_mode_has_its_scale_degrees_and_leading_note(name: str, natural: str, leading: str) -> None:
    found = mode(name)
    assert found.final == natural.split()[0]
    for degree, letter in enumerate(natural.split(), start=1):
        here = tone(f"{letter}4")
        assert found.degree(here) == degree
        assert not found.inflected(here)
        assert found.is_final(here) is (degree == 1)
        assert found.is_leading(here) is (letter == leading)
        assert found.inflected(here._replace(alter=here.alter + 1))
    assert found.is_leading(tone(f"{leading}5"))


def shown(text: str) -> tuple[str, str, int]:
    found = Piece(score(text)).mode
    assert found is not None
    assert not found.said
    return found.final, found.name, found.fifths


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # the signature and the last bass note
        ("key: no signs :: A4 | D // D4 | D", ("D", "dorian", 0)),
        ("key: no signs :: B4 | E // E4 | E", ("E", "phrygian", 0)),
        ("key: 1 flat :: C4 | F // F4 | F", ("F", "ionian", -1)),
        ("key: 1 sharp :: A4 | E // C4 | E", ("E", "aeolian", 1)),
        ("key: no signs :: A4 | F // C4 | F", ("F", "lydian", 0)),
        # a signature that says major or minor is taken at its word where the final agrees
        ("key: C major :: E4 | C // C4 | C", ("C", "major", 0)),
        ("key: A minor :: E4 | A // A3 | A", ("A", "minor", 0)),
        ("key: A minor :: E4 | D // A3 | D", ("D", "dorian", 0)),
        ("key: no signs :: A4 | B // C4 | B3", ("B", "locrian", 0)),
        # no mode has such a signature: brighter than all it is called major, darker than all minor
        ("key: 3 sharps :: A4 | C5 // F4 | C", ("C", "major", 3)),
        ("key: 4 flats :: A4 | E5 // F4 | E", ("E", "minor", -4)),
        # without a signature that under which most notes need no sign, of several the one nearest to none
        ("A4 | D // D4 | D", ("D", "dorian", 0)),
        ("F#4 G A B | D5 C# D E | D // D4 | A3 | D4", ("D", "ionian", 2)),
        ("Bb4 A G F | Eb F G A | Bb // D4 | F | Bb3", ("Bb", "ionian", -2)),
    ],
)
def test_the_mode_is_shown_by_signature_and_last_bass(text: str, expected: tuple[str, str, int]) -> None:
    assert shown(text) == expected


def test_a_cantus_that_the_file_names_gives_the_final() -> None:
    assert shown("cantus: soprano :: F4 | E | D // D3 | A3 | F")[0] == "D"
    assert shown("cantus: bass :: F4 | E | D // D3 | A3 | F")[0] == "F"


def test_a_bass_that_leaves_the_last_chord_early_still_gives_the_final() -> None:
    assert shown("A4 | A - // E4 | D .")[0] == "D"
    assert Texture(score("A4 | A - // E4 | D .")).slices[-1].bass is not None


def test_the_final_of_a_line_alone_is_its_last_note() -> None:
    assert shown("D4 | F | E")[0] == "E"
