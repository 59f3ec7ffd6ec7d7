"""Degrees, sol-fa and letters. Expected names are worked out by hand from the scales (common practice, no source)."""

from __future__ import annotations

import pytest

from trainer.formats._drill_read import read
from trainer.score.naming import KINDS, LETTERS, Names, called, counted_from, degree_number, sentence
from trainer.score.pitch import Pitch


def score(mode, *lines):
    names = ("soprano", "alto", "tenor", "bass")[-len(lines) :] if len(lines) != 2 else ("soprano", "bass")
    text = f"title: Scales\nmeter: 4/4\nmode: {mode}\ntempo: 60\n\n"
    return read(
        (text + "\n".join(f"{n} | {line}" for n, line in zip(names, lines, strict=True)) + "\n").encode(), "x.drill"
    )


@pytest.mark.parametrize(
    ("mode", "scale", "degrees", "syllables"),
    [
        ("C ionian", "C4 D4 E4 F4 G4 A4 B4", "1 2 3 4 5 6 7", "do re mi fa so la ti"),
        ("D dorian", "D4 E4 F4 G4 A4 B4 C5", "1 2 3 4 5 6 7", "re mi fa so la ti do"),
        ("A aeolian", "A3 B3 C4 D4 E4 F4 G#4", "1 2 3 4 5 6 #7", "la ti do re mi fa si"),
        ("E phrygian", "E4 F4 G#4 A4 B4 C5 D5", "1 2 #3 4 5 6 7", "mi fa si la ti do re"),
        ("F lydian", "F4 G4 A4 Bb4 C5 D5 E5", "1 2 3 b4 5 6 7", "fa so la te do re mi"),
        ("G mixolydian", "G4 A4 B4 C5 D5 E5 F#5", "1 2 3 4 5 6 #7", "so la ti do re mi fi"),
        ("F# dorian", "F#4 G#4 A4 B4 C#5 D#5 E5", "1 2 3 4 5 6 7", "re mi fa so la ti do"),
        ("Eb lydian", "Eb4 F4 G4 A4 Bb4 C5 D5", "1 2 3 4 5 6 7", "fa so la ti do re mi"),
    ],
)
def test_each_mode_is_named_right(mode, scale, degrees, syllables):
    piece = score(mode, "C4 | C4 |", "C3 | C3 |")
    pitches = [Pitch.parse(name) for name in scale.split()]
    assert " ".join(called(piece, p, Names("degrees")) for p in pitches) == degrees
    assert " ".join(called(piece, p, Names("sol-fa")) for p in pitches) == syllables
    assert " ".join(called(piece, p, Names("letters")) for p in pitches) == scale


def test_a_word_that_is_no_kind_of_name_is_refused():
    for kind in KINDS:
        assert Names(kind).kind == kind
    with pytest.raises(ValueError, match="numbers"):
        Names("numbers")


def test_a_key_knows_its_degree_in_the_mode_and_as_the_score_spells_it():
    piece = score("B dorian", "B4 | A#4 |", "B3 | C#4 |", "F#3 | F#3 |", "B2 | F#2 |")
    assert [degree_number(piece, midi) for midi in (59, 61, 62, 64, 66, 68, 69)] == [1, 2, 3, 4, 5, 6, 7]
    assert degree_number(piece, 70) == 7  # the A# of the soprano
    assert degree_number(piece, 63) == 0


@pytest.mark.parametrize(
    ("mode", "scale", "fixed", "from_the_final"),
    [
        ("A aeolian", "A3 B3 C4 D4 E4 F4 G#4", "la si do re mi fa sol#", "do re me fa so le ti"),
        ("Eb lydian", "Eb4 F4 G4 A4 Bb4 C5 D5", "mib fa sol la sib do re", "do re mi fi so la ti"),
        ("E phrygian", "E4 F4 G#4 A4 B4 C5 D5", "mi fa sol# la si do re", "do ra mi fa so le te"),
    ],
)
def test_do_stands_on_c_or_on_the_final_for_those_who_learnt_it_so(mode, scale, fixed, from_the_final):
    piece = score(mode, "C4 | C4 |", "C3 | C3 |")
    pitches = [Pitch.parse(name) for name in scale.split()]
    assert " ".join(called(piece, p, Names("fixed-do")) for p in pitches) == fixed
    assert " ".join(called(piece, p, Names("do-minor")) for p in pitches) == from_the_final
    assert counted_from(piece, Names("fixed-do")) == ""
    assert counted_from(piece, Names("do-minor")) == f"do is {mode.split()[0]}"


def test_german_letters_are_those_of_music21():
    pitch = pytest.importorskip("music21").pitch
    for name in (f"{step}{sign}" for step in "CDEFGAB" for sign in ("", "#", "##", "b", "bb")):
        theirs = pitch.Pitch(name.replace("b", "-")).german
        if name in ("Abb", "Bbb"):  # music21 10.5 says Asas and Heses; both are in use for the first
            assert theirs in ("Ases", "Asas", "Heses")
            continue
        assert called(None, Pitch.parse(f"{name}3"), Names("german")) == theirs.lower(), name


def test_german_octaves_are_helmholtzs():
    # Helmholtz 1863, from memory: C, in the contra octave, C the great one, c the small one, c' middle C
    names = {
        "C1": "C,",
        "C2": "C",
        "B2": "H",
        "Bb2": "B",
        "C3": "c",
        "B3": "h",
        "C4": "c'",
        "F#5": "fis''",
        "Eb3": "es",
    }
    for name, german in names.items():
        assert called(None, Pitch.parse(name), Names("german")) == german


@pytest.mark.parametrize(
    ("says", "kind", "told"),
    [
        ("leaps to F#3, low in the voice", "german", "leaps to fis, low in the voice"),
        ("Bb4 lies above the tenor's B4", "german", "b' lies above the tenor's h'"),
        ("the alto's B pulls (a minor third above)", "german", "the alto's H pulls (a minor third above)"),
        ("the alto's B pulls (a minor third above)", "fixed-do", "the alto's si pulls (a minor third above)"),
        ("take it from the B2 and not from the A1's B2", "german", "take it from the B2 and not from the A1's H"),
        ("an interval of A12 up, B2 to F##4", "german", "an interval of A12 up, H to fisis'"),
        ("A B C, you part from the bass's Bass", "german", "A B C, you part from the bass's Bass"),
    ],
)
def test_a_sentences_pitches_are_called_as_the_reader_learnt_them(says: str, kind: str, told: str) -> None:
    assert sentence(says, Names(kind)) == told
    assert sentence(says, LETTERS) == says
