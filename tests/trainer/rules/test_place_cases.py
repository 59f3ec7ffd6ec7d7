"""Where voices stand to each other, beat by beat: crossing, overlap, unisons, spacing, going together.

Cherubini 1835; Bridge, Counterpoint, chapters 7 and 8; Lehmann, lesson XI; part-writing handouts of music schools.
"""

from __future__ import annotations

import pytest
from rule_cases import told, words

FREE = "species: free; mode: D dorian ::"
ONE = "species: 1; mode: D dorian; cantus: bass; sing: soprano ::"
TWO = "species: 2; mode: D dorian; cantus: bass; sing: soprano ::"
ALTO = "species: 1; mode: D dorian; cantus: alto; sing: soprano ::"

# place


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("G4 D | G // E4 | C", ["1:3-1:3 1,2 passing"]),
        ("G4 D | C // E4 | E", ["1:3-2:1 1,2 strong"]),
        ("D4 G | G // E4 | C", ["1:1-1:1 1,2 strong"]),
        ("G4 D | G // E4 F | C", ["1:3-1:3 1,2 passing"]),
        ("G4 - D C | G4 // E4 | C", ["1:3-1:4 1,2"]),
        ("G4 D | G4 D | G4 // E4 | E | C", ["1:3-1:3 1,2 passing", "2:3-2:3 1,2 passing"]),
        ("G4 E | G // E4 | C", []),
        ("C5 | C // E4 | E // C4 | F4", ["2:1-2:1 2,3 strong"]),
        ("C4 | C // E4 | C // D4 | A3", ["1:1-1:1 1,2 strong"]),
        ("G4 . | G // E4 G | C4", []),
    ],
)
def test_crossing(text: str, expected: list[str]) -> None:
    assert told("crossing", f"{FREE} {text}") == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("C5 | G | C4 // A4 | E | E", ["3:1-3:1 1,2"]),
        ("C4 | G4 | A // E4 | E | D", ["1:1-1:1 1,2"]),
        ("C4 | G4 | C4 // E4 | E | E", ["1:1-1:1 1,2", "3:1-3:1 1,2"]),
        ("C4 | G4 | A // F4 | E | D // C3 | C | F", ["1:1-1:1 1,2 above"]),
        ("C4 | G4 | A // G4 | E | D // C3 | C | F", ["1:1-1:1 1,2"]),
        ("C5 | G | A // D4 | E | D // E4 | C | F3", ["1:1-1:1 2,3"]),
        ("G4 | C | E // E4 | E | C", []),
        (". C4 | G4 | A // E4 | E | D", ["1:3-1:3 1,2"]),  # the first chord is where two sound
        ("E4 | E // E4 | E", []),
    ],
)
def test_crossing_in_the_first_and_last_chord(text: str, expected: list[str]) -> None:
    assert told("crossing-at-ends", f"{FREE} {text}") == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (f"{FREE} D4 | G // B3 | E", ["1:1-2:1 1,2"]),
        (f"{FREE} D4 | G // B3 | D", []),  # on the note itself is not beyond it
        (f"{FREE} G4 | D // E4 | B3", ["1:1-2:1 1,2"]),
        (f"{FREE} G4 | E // E4 | B3", []),
        (f"{FREE} D4 | D // B3 | E", []),  # that is crossing
        (f"{FREE} C5 | D // D4 | G // B3 | E", ["1:1-2:1 2,3"]),
        (f"{FREE} E4 - | G // C4 - | F", ["1:1-2:1 1,2"]),
        (f"{FREE} E4 . | G // C4 . | F", []),
        (f"{ONE} E4 | C5 | B // C4 | A4 | G", ["1:1-2:1 1,2 cantus-leaps"]),
        (f"{ONE} E4 | B4 | B // C4 | G4 | G", ["1:1-2:1 1,2"]),  # a fifth is no sixth
        (f"{FREE} G4 F | D // E4 - | B3", ["1:3-2:1 1,2"]),
    ],
)
def test_overlap(text: str, expected: list[str]) -> None:
    assert told("overlap", text) == expected


def test_which_voice_goes_beyond_the_other_is_said() -> None:
    assert words("overlap", f"{FREE} D4 | G // B3 | E") == ["E4 comes above the D4 that the neighbour had"]
    assert words("overlap", f"{FREE} G4 | D // E4 | B3") == ["D4 comes below the E4 that the neighbour had"]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("A4 | F | G // D4 | F | E", ["2:1-2:1 1,2"]),
        ("F4 | A | D // F4 | D | D", []),
        ("A4 | A F | E // D4 | F - | D", ["2:3-2:3 1,2 weak"]),
        ("A4 | G F G A | G // D4 | F | E", []),  # left by step the other way
        ("A4 | A F G A | G // D4 | F | E", []),
        ("A4 | G F E D | G // D4 | F | D", ["2:2-2:2 1,2 weak"]),
        ("A4 | A | A // F4 | F | F // D4 | C | D // D3 | C4 | D3", ["2:1-2:1 3,4 lowest"]),
        ("A4 | A | A // F4 | C4 | F // D4 | C | D // D3 | F3 | D3", ["2:1-2:1 2,3"]),
        ("A4 | A | A // F4 | F E | F // D4 | G3 C | D // D3 | E C4 | D3", []),
        ("A4 | F - | A // D4 | E F | D", ["2:3-2:3 1,2 weak"]),
        ("A4 | F | G | A // D4 | F | F | D", ["2:1-2:1 1,2"]),
        ("A4 | G | F | F // D4 | E | F | F", ["3:1-3:1 1,2"]),
    ],
)
def test_unisons_inside(text: str, expected: list[str]) -> None:
    assert told("unison-inside", f"{FREE} {text}") == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("A4 | F E | G // D4 | E | E", ["2:1-2:3 1,2"]),
        ("A4 | F | G // D4 | E F | E", ["2:1-2:3 1,2"]),
        ("A4 | F E | D // D4 | E | E", []),  # on through it
        ("A4 | G E | D // D4 | E | E", []),  # by leap
        ("A4 | F E | D // D4 | D E | E", []),  # both move
        ("A4 | F E | D // D4 | E | C // G3 | G | A", []),
        ("A4 | F E | G // D4 | E | C // G3 | G | A", ["2:1-2:3 1,2"]),
        ("A4 | F E // D4 | E", ["2:1-2:3 1,2"]),
    ],
)
def test_a_unison_from_the_second_beside_it(text: str, expected: list[str]) -> None:
    assert told("unison-approach", f"{FREE} {text}") == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # two voices: a tenth, a twelfth
        ("E5 | D // C4 | D", []),
        ("F5 | D // C4 | D", ["1:1-1:1 1,2 tenth"]),
        ("G5 | D // C4 | D", ["1:1-1:1 1,2 tenth"]),
        ("A5 | D5 // C4 | D", ["1:1-1:1 1,2 wide"]),
        ("F5 | F | D // C4 | C | D", ["1:1-2:1 1,2 tenth"]),
        # upper neighbours: an octave, a tenth for a chord or two
        ("C5 | C // C4 | C // A3 | A", []),
        ("D5 | C // C4 | C // A3 | A", ["1:1-1:1 1,2 tenth"]),
        ("E5 | E | C // C4 | C | C // A3 | A | A", ["1:1-2:1 1,2 tenth"]),
        ("E5 | E | E // C4 | C | C // A3 | A | A", ["1:1-3:1 1,2"]),
        ("E5 | F | C // C4 | C | C // A3 | A | A", ["1:1-2:1 1,2 wide"]),
        ("C5 F | C // C4 - | C // A3 - | A", ["1:3-1:3 1,2 passing"]),
        ("C5 | C // C4 | C // A2 | A", []),
        ("C5 | C // B4 | B // A3 | A // F3 | F", ["1:1-2:1 2,3 tenth"]),
        ("E5 . | E // C4 - | C // A3 - | A", ["1:1-1:1 1,2 tenth", "2:1-2:1 1,2 tenth"]),
    ],
)
def test_spacing_of_the_upper_voices(text: str, expected: list[str]) -> None:
    assert told("spacing-upper", f"{FREE} {text}") == expected


@pytest.mark.parametrize(
    ("low", "expected"),
    [
        ("D3 | G3", []),
        ("C3 | G3", ["1:1-1:1 2,3"]),
        ("A2 | G3", ["1:1-1:1 2,3"]),
        ("G2 | G3", ["1:1-1:1 2,3 wide"]),
        ("C3 | B2", ["1:1-2:1 2,3"]),
    ],
)
def test_spacing_of_the_bass(low: str, expected: list[str]) -> None:
    assert told("spacing-bass", f"{FREE} C5 | D // A4 | G // {low}") == expected


# together


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (f"{ALTO} C5 | D // E4 | F // A3 | B", ["1:1-2:1 1,2,3"]),
        (f"{ALTO} D5 | C // F4 | E // B3 | A", ["1:1-2:1 1,2,3"]),
        (f"{ALTO} C5 | E // E4 | G // A3 | C", ["1:1-2:1 1,2,3"]),  # thirds are no leaps here
        (f"{ALTO} C5 | D // E4 | F // A3 | D4", ["1:1-2:1 1,2,3 fourth"]),
        (f"{ALTO} C5 | E // E4 | F // A3 | D4", ["1:1-2:1 1,2,3 leap"]),
        (f"{ALTO} C5 | D // E4 | F // A3 | E4", ["1:1-2:1 1,2,3 leap"]),
        (f"{ALTO} A4 | C5 // D4 | D5 // F3 | A3", ["1:1-2:1 1,2,3 cantus-octave"]),
        (f"{ALTO} C5 | D // E4 | E // A3 | B", []),
        (f"{ALTO} C5 | D // E4 | D // A3 | B", []),
        (f"{ALTO} C5 | D // G4 | A // E4 | F", []),  # sixth chords by step
        (f"{ALTO} C5 | D // G4 | A // E4 | F // C4 | D", ["1:1-2:1 1,2,3,4"]),
        (f"{ALTO} C5 | E // G4 | B // E4 | G", ["1:1-2:1 1,2,3"]),  # by leap
        (f"{ALTO} . C5 | D // E4 | F // A3 | B", ["1:3-2:1 1,2,3"]),
        ("species: 1; mode: D dorian; cantus: bass; sing: soprano :: C5 | D // A3 | B", []),
    ],
)
def test_all_voices_one_way(text: str, expected: list[str]) -> None:
    assert told("all-same-way", text) == expected


@pytest.mark.parametrize(
    ("upper", "lower", "expected"),
    [
        ("F4 | G | A | B | G", "D3 | E | F | G | B", ["1:1-4:1 1,2 outer", "3:1-4:1 1,2 major-thirds"]),
        ("F4 | G | A | G | B", "D3 | E | F | B | G", []),
        ("B4 | C5 | D | E | G", "D3 | E | F | G | B", ["1:1-5:1 1,2 outer"]),  # sixths
        ("F4 | G | A | C5 | D | E", "D3 | E | F | A | B | C", ["1:1-6:1 1,2 outer-long"]),
        ("F4 | G | E | F | A", "D3 | E | C | D | B", ["1:1-4:1 1,2 outer"]),  # up and down is running too
        ("F4 | G | A | A | B | C5", "D3 | E | F | F | G | A", ["4:1-5:1 1,2 major-thirds"]),
        ("F4 | G | A | G | D | C", "D3 | E | F | E | F | E", ["1:1-4:1 1,2 outer"]),
        ("D4 | C | B3 | A", "F3 | E | D | C", ["1:1-4:1 1,2 outer"]),
    ],
)
def test_thirds_and_sixths_running(upper: str, lower: str, expected: list[str]) -> None:
    assert told("too-many-parallel-imperfect", f"{ONE} {upper} // {lower}") == expected


def test_a_set_says_how_many_thirds_are_too_many() -> None:
    four = f"{ONE} F4 | G | A | Bb | A // D3 | E | F | G | C"
    assert told("too-many-parallel-imperfect", four, most=4) == []
    assert told("too-many-parallel-imperfect", four, most=3) == ["1:1-4:1 1,2 outer"]
    inner = f"{ALTO} A4 | Bb | C5 | Bb | C // F4 | G | A | G | E // D3 | C | F | E | A"
    assert told("too-many-parallel-imperfect", inner) == ["1:1-4:1 1,2"]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (f"{ONE} F4 | F | A // D3 | D | F", ["1:1-2:1 1,2"]),
        (f"{ONE} F4 | A | F // D3 | F | D", []),
        (f"{TWO} F4 A | F A | B // D3 | D | G", []),
        (f"{TWO} F4 - | F A | B // D3 | D | G", ["1:1-2:1 1,2"]),
        (f"{TWO} . F4 | F A | B // D3 | D | G", []),
        (f"{ALTO} A4 | A | C5 // F4 | F | E // D3 | F | A", ["1:1-2:1 1,2"]),
    ],
)
def test_two_notes_struck_twice_running(text: str, expected: list[str]) -> None:
    assert told("same-vertical-repeated", text) == expected
