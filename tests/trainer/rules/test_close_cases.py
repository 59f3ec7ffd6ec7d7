"""How a piece begins and closes. Fux 1725; Cherubini 1835; Rockstro 1883; Bridge, Counterpoint, chapters 7, 9, 11 and 12."""

from __future__ import annotations

import pytest
from rule_cases import told

ONE = "species: 1; mode: D dorian; cantus: bass; sing: soprano ::"
TWO = "species: 2; mode: D dorian; cantus: bass; sing: soprano ::"
ALTO = "species: 1; mode: D dorian; cantus: alto; sing: soprano ::"

# how it begins and closes


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (f"{ONE} A4 | A // D4 | F", []),
        (f"{ONE} D5 | A // D4 | F", []),
        (f"{ONE} D4 | A // D4 | F", []),
        (f"{ONE} F4 | A // D4 | F", ["1:1-1:1 1,2"]),
        (f"{ONE} A4 | A // A3 | F", ["1:1-1:1 1,2"]),  # an octave on another note
        ("species: 1; mode: D dorian; cantus: soprano; sing: bass :: D4 | F // G3 | D", ["1:1-1:1 1,2"]),
        ("species: 1; mode: D dorian; cantus: soprano; sing: bass :: D4 | F // D3 | D", []),
        (f"{TWO} . F4 | A G | A // D4 | F | D", ["1:3-1:3 1,2"]),
        (f"{TWO} . A4 | A G | A // D4 | F | D", []),
        (f"{TWO} . | F4 G | A // D4 | F | D", []),  # a bar later is no beginning
        (f"{ALTO} F5 | A // A4 | F // D4 | F", []),
        (f"{ALTO} G5 | A // A4 | F // D4 | F", ["1:1-1:1 1,2,3"]),
        (f"{ALTO} F5 | A // A4 | F // F4 | F", ["1:1-1:1 1,2,3"]),
        (f"{ALTO} . G4 | A // A4 | F // D4 | F", ["1:1-1:3 1,2,3"]),
        (f"{ONE} A4 | . // . | D4", []),
    ],
)
def test_how_a_piece_begins(text: str, expected: list[str]) -> None:
    assert told("starts-on", text) == expected


def test_where_the_mode_is_only_shown_two_parts_may_begin_on_any_perfect_interval() -> None:
    head = "species: 1; cantus: bass; sing: soprano ::"
    assert told("starts-on", f"{head} A4 | C5 | D // A3 | E | D") == []
    assert told("starts-on", f"mode: D dorian; {head} A4 | C#5 | D // A3 | E | D") == ["1:1-1:1 1,2"]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (f"{ONE} C#5 | D // E4 | D", []),
        (f"{ONE} C#4 | D // E4 | D", []),
        (f"{ONE} C#5 | A4 // E4 | D", ["2:1-2:1 1,2"]),
        (f"{ONE} C#5 | F // E4 | D", ["2:1-2:1 1,2"]),
        (f"{ONE} C#5 | C // E4 | C", ["2:1-2:1 1,2"]),
        (f"{ALTO} E5 | D // C#4 | D // A3 | D", []),
        (f"{ALTO} E5 | D // C#4 | F // A3 | D", []),
        (f"{ALTO} E5 | A4 // C#4 | F# // A3 | D", []),
        (f"{ALTO} E5 | D // C#4 | D // A3 | G", ["2:1-2:1 1,2,3"]),
        (f"{ALTO} E5 | D // C#4 | B3 // A3 | D", ["2:1-2:1 1,2,3"]),
        (f"{TWO} C#5 | D - // E4 | D .", []),
    ],
)
def test_how_a_piece_ends(text: str, expected: list[str]) -> None:
    assert told("ends-on", text) == expected


E_MODE = "mode: E phrygian; species: 1; cantus: bass; sing: soprano ::"
ABOVE_E = "mode: E phrygian; species: 1; cantus: soprano; sing: bass ::"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (f"{ONE} A4 | C#5 | D // D4 | E | D", []),
        (f"{ONE} A4 | G | D // D4 | E | D", ["2:1-3:1 1,2"]),  # nobody rises
        (f"{ONE} A4 | C#5 | D // D4 | A | D", ["2:1-3:1 1,2"]),  # nobody falls
        (f"{ONE} A4 | C5 | D // D4 | E | D", ["2:1-3:1 1,2 unraised"]),
        (f"{E_MODE} B4 | D5 | E // E4 | F | E", []),
        (f"{E_MODE} B4 | D#5 | E // E4 | F | E", ["2:1-3:1 1"]),
        ("mode: F lydian; species: 1; cantus: bass; sing: soprano :: A4 | E5 | F // F4 | G | F", []),
        (f"{ALTO} A4 | E | F // F4 | E | D // D3 | A | D", ["2:1-3:1 1,2,3 no-leading-tone"]),
        (f"{ALTO} A4 | C#5 | D // F4 | E | D // D3 | A | D", []),
        (f"{ABOVE_E} G4 | F | E // E4 | C | B3 // E3 | A | E", []),
        (
            f"{ABOVE_E} G4 | F | E // E4 | C | B3 // E3 | F | E",
            ["2:1-3:1 1,2,3 no-leading-tone"],
        ),
        (f"{ONE} A4 | C#5 . | D // D4 | E . | D", []),  # parted from the end by rests: nothing to say
    ],
)
def test_the_last_step_into_the_final(text: str, expected: list[str]) -> None:
    assert told("clausula", text) == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("E5 | D // C#5 | D // A3 | D", []),
        ("E5 | D // C#5 | A // A3 | D", ["1:1-2:1 2 inner-third"]),
        ("E5 | D // C#5 | F // A3 | D", ["1:1-2:1 2"]),
        ("C#5 | A // E4 | D // A3 | D", ["1:1-2:1 1"]),
        ("C5 | A // E4 | D // A3 | D", []),
        ("E5 | D // A4 | F // C#4 | A3", ["1:1-2:1 3"]),
    ],
)
def test_the_leading_tone_rises(text: str, expected: list[str]) -> None:
    head = "mode: D dorian; species: 1; cantus: soprano; sing: alto ::"
    assert told("leading-tone-goes-up", f"{head} {text}") == expected


CLOSE = "mode: D dorian; species: 4; cantus: bass; sing: soprano ::"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (". D5 | - C# | D // A4 | G | A // F3 | E | D", []),
        (". A4 | B C#5 | D // A4 | G | A // F3 | E | D", ["2:1-2:1 1"]),
        (". A4 | - G | D // A4 | C#5 | D // F3 | E | D", []),
        (". D5 | - C# | D // A4 | E | F // F3 | A | D", []),  # the bass does not step
        (". D5 | - C# | D // F3 | E | D", []),  # two parts
    ],
)
def test_over_a_bass_that_steps_a_tie_closes(text: str, expected: list[str]) -> None:
    assert told("cadence-suspension-bass-step", f"{CLOSE} {text}") == expected


def test_which_close_is_asked_for_a_set_may_say() -> None:
    seven = f"{CLOSE} . D5 | - C# | D // A4 | G | A // F3 | E | D"
    four = f"{CLOSE} . A4 | - G | F# // A4 | C# | D // F3 | E | D"
    assert told("cadence-suspension-bass-step", seven, close="4-3") == ["2:1-2:1 1"]
    assert told("cadence-suspension-bass-step", four, close="4-3") == []
    assert told("cadence-suspension-bass-step", four, close="7-6") == ["2:1-2:1 1"]
