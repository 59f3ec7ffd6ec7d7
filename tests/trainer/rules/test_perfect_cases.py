"""Parallel, antiparallel and direct perfect intervals, and those from accent to accent.

Fux 1725; Rockstro 1883; Cherubini 1835; Bridge, Counterpoint, chapters 7 and 9; Lehmann, lessons VI and XI.
"""

from __future__ import annotations

import pytest
from rule_cases import told

FREE = "species: free; mode: D dorian ::"
ONE = "species: 1; mode: D dorian; cantus: bass; sing: soprano ::"
TWO = "species: 2; mode: D dorian; cantus: bass; sing: soprano ::"
THREE = "species: 3; mode: D dorian; cantus: bass; sing: soprano ::"
FOUR = "species: 4; mode: D dorian; cantus: bass; sing: soprano ::"
FIVE = "species: 5; mode: D dorian; cantus: bass; sing: soprano ::"

# perfect intervals


@pytest.mark.parametrize(
    ("rule", "text", "expected"),
    [
        ("parallel-fifth", "A4 | B // D4 | E", ["1:1-2:1 1,2"]),
        ("parallel-fifth", "A5 | B // D4 | E", ["1:1-2:1 1,2"]),
        ("parallel-fifth", "C5 A | B // F4 D | E", ["1:1-1:3 1,2", "1:3-2:1 1,2"]),
        ("parallel-fifth", "A4 | F // D4 | B3", []),  # into a diminished one
        ("parallel-fifth", "F5 | G // B4 | C5 // D4 | E", ["1:1-2:1 1,2 diminished-above"]),
        ("parallel-fifth", "F5 | G // B4 | C5", ["1:1-2:1 1,2 diminished-with-bass"]),
        ("parallel-fifth", "G4 | F // C4 | B3", []),
        ("parallel-fifth", "F5 | G4 // B4 | C4", []),  # falling
        ("parallel-octave", "D5 | E // D4 | E", ["1:1-2:1 1,2"]),
        ("parallel-octave", "D5 | E // D3 | E", ["1:1-2:1 1,2"]),
        ("parallel-octave", "D5 | E5 // D3 | E4", ["1:1-2:1 1,2"]),
        ("parallel-octave", "C5 | G5 // C4 | G5", ["1:1-2:1 1,2"]),
        ("parallel-octave", "D4 | E // D4 | E", []),
        ("parallel-unison", "D4 | E // D4 | E", ["1:1-2:1 1,2"]),
        ("parallel-unison", "D5 | E // D4 | E", []),
        ("antiparallel-fifth", "A4 | E5 // D4 | A3", ["1:1-2:1 1,2"]),
        ("antiparallel-fifth", "A4 | B // D4 | E", []),
        ("antiparallel-fifth", "D5 | A // D4 | A3", []),
        ("antiparallel-octave", "D5 | A5 // D4 | A3", ["1:1-2:1 1,2"]),
        ("antiparallel-octave", "A5 | E | E // D5 | A5 | A // D4 | A3 | A", ["1:1-2:1 2,3"]),
        ("antiparallel-octave", "A5 | E // D5 | A5 // D4 | A3", ["1:1-2:1 2,3 close"]),
        ("antiparallel-octave", "C5 | G4 // C4 | G4", ["1:1-2:1 1,2"]),
    ],
)
def test_parallels_and_antiparallels(rule: str, text: str, expected: list[str]) -> None:
    assert told(rule, f"{FREE} {text}") == expected


@pytest.mark.parametrize(
    ("rule", "text", "expected"),
    [
        ("direct-fifth", "E4 | A // C4 | D", ["1:1-2:1 1,2 outer-leap"]),
        ("direct-fifth", "G4 | A // B3 | D", ["1:1-2:1 1,2 outer-step"]),
        ("direct-fifth", "C5 | A // F4 | D", []),  # parallel, not direct
        ("direct-fifth", "A4 | B // E4 | A // C4 | D", ["1:1-2:1 2,3 inner"]),
        ("direct-fifth", "C5 | B // E4 | A // B3 | D", ["1:1-2:1 2,3 inner-leaps"]),
        ("direct-fifth", "E5 | B // C4 | E // B3 | E", []),
        ("direct-octave", "E4 | A // G3 | A", ["1:1-2:1 1,2 outer-leap"]),
        ("direct-octave", "F4 | D // E3 | D", ["1:1-2:1 1,2 outer-leap"]),
        ("direct-octave", "E4 | D // F3 | D", ["1:1-2:1 1,2 outer-step"]),
        ("direct-octave", "E5 | D // G4 | F // F4 | D3", ["1:1-2:1 1,3 outer-step"]),
        ("direct-octave", "E5 | D // G4 | F // D4 | D3", []),  # where a ninth resolves
        ("direct-octave", "E5 | D // D4 | D3", ["1:1-2:1 1,2 outer-step"]),  # two voices alone
        # the places of one chord change
        ("direct-fifth", "E4 | G // C4 | E // G3 | C4", []),
        ("direct-fifth", "E4 | G // C4 | F // G3 | C4", ["1:1-2:1 1,3 outer-leap"]),
        ("direct-fifth", "E4 | G // G3 | C4", ["1:1-2:1 1,2 outer-leap"]),
        # another voice is tied over the bar line into which they go
        ("direct-fifth", "E4 | A // . G4 | - F // C4 | D", []),
        ("direct-fifth", "E4 | A // . G4 | F // C4 | D", ["1:1-2:1 1,3 outer-leap"]),
        ("direct-fifth", "E4 A | A // G4 - | F // C4 D | D", ["1:1-1:3 1,3 outer-leap"]),  # inside the bar
        ("direct-unison", "D4 | G | A // B3 | G4 | F", ["1:1-2:1 1,2"]),
        ("direct-unison", "D4 | G // B3 | G4", ["1:1-2:1 1,2 close"]),
        ("direct-unison", "D4 | G // G4 | G", []),
        ("direct-under-tie", "G4 | C5 // G4 E | - D // E3 | F", ["1:1-2:1 1,3"]),
        ("direct-under-tie", "G4 | A // G4 E | - D // E3 | F", []),
        ("direct-under-tie", "G4 | C5 // G4 F | - D // E3 | F", []),  # a consonance is tied
    ],
)
def test_direct_perfects(rule: str, text: str, expected: list[str]) -> None:
    assert told(rule, f"{FREE} {text}") == expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("G5 | D | E // C4 | D | C", ["1:1-2:1 1,2"]),
        ("G5 | D // C4 | D", []),
        ("E5 | D | E // C4 | D | C", []),
        ("G5 | D | E // B3 | D | C", []),
        ("C6 G5 | D E | F // C4 - | D C | D", ["1:3-2:1 1,2"]),
        ("C6 G5 - D | D E | F // C4 - - D | D C | D", []),
        ("G5 | D4 | E // C4 | D | C", []),
        ("G5 | E | E // C5 | G | G // B3 | C | C", []),
        ("G5 | D | E // A4 | F | G // C4 | D | C", ["1:1-2:1 1,3"]),
    ],
)
def test_an_octave_struck_from_above(text: str, expected: list[str]) -> None:
    assert told("battuta", f"{FREE} {text}") == expected


@pytest.mark.parametrize(
    ("rule", "text", "expected"),
    [
        ("parallel-strong", f"{TWO} A4 F | B G | C5 // D4 | E | C", ["1:1-2:1 1,2"]),
        ("parallel-strong", f"{TWO} A4 C5 | B G | C5 // D4 | E | C", ["1:1-2:1 1,2 saved"]),  # contrary into it
        ("parallel-strong", f"{TWO} A4 D4 | B4 G | C5 // D4 | E | C", ["1:1-2:1 1,2 saved"]),  # a leap away
        ("parallel-strong", f"{TWO} A4 F | B G | C5 // D4 | E | E // F3 | G | A", ["1:1-2:1 1,2 inner"]),
        ("parallel-strong", f"{ONE} A4 | B | C5 // D4 | E | C", []),
        ("parallel-strong", f"{TWO} D5 B | E C | D // D4 | E | B3", ["1:1-2:1 1,2"]),
        ("parallel-strong", f"{TWO} A4 F | E C | C // D4 | A3 | C", ["1:1-2:1 1,2"]),
        ("parallel-strong", f"{TWO} . F4 | B G | C5 // D4 | E | C", []),
        ("parallel-strong", f"{TWO} A4 F | E5 C | C // D4 | A3 | C", []),  # against each other
        ("parallel-3-to-1", f"{THREE} A4 B C5 D | B A G F | E // F4 | E | C", ["1:3-2:1 1,2"]),
        ("parallel-3-to-1", f"{THREE} A4 B C5 A | B A G F | E // F4 | E | C", ["1:3-2:1 1,2 saved"]),
        ("parallel-3-to-1", f"{TWO} A4 F | B C5 | D // D4 - | E F | D", []),
        ("parallel-3-to-1", "meter: 3/2; " + f"{THREE} A4 B C5 | B A G | E // F4 | E | C", []),
    ],
)
def test_perfects_from_accent_to_accent(rule: str, text: str, expected: list[str]) -> None:
    assert told(rule, text) == expected


def test_how_wide_a_leap_saves_a_set_may_say() -> None:
    third = f"{TWO} A4 F | B G | C5 // D4 | E | C"
    assert told("parallel-strong", third, leap=3) == ["1:1-2:1 1,2 saved"]
    fifth = f"{TWO} A4 D4 | B4 G | C5 // D4 | E | C"
    assert told("parallel-strong", fifth, leap=6) == ["1:1-2:1 1,2"]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (f"{TWO} F4 A | G B | C5 // D4 | E | C", ["1:3-2:3 1,2"]),
        (f"{TWO} A4 F | G B | C5 // D4 | E | C", []),
        (f"{THREE} F4 G A F | G A B G | C5 // D4 | E | C", []),
        (f"{FOUR} . A4 | - G | - F# | G // D4 | C | A | G", ["1:3-2:3 1,2 tied-fifth"]),
        (f"{FOUR} . A4 | - G | - F | - E | D // D4 | C | B3 | A | D", ["1:3-2:3 1,2 tied-fifth"]),
        ("meter: 3/2; " + f"{TWO} F4 A A | G B B | C5 // D4 | E | C", []),
    ],
)
def test_perfects_behind_the_beat(text: str, expected: list[str]) -> None:
    assert told("parallel-afterbeat", text) == expected


def test_three_perfects_behind_ties_are_a_chain() -> None:
    octaves = "{} . D5 | - B | - G | - A | B // D4 | B3 | G3 | E | G"
    for species in (FOUR, FIVE):
        found = told("parallel-afterbeat", octaves.format(species))
        assert found == ["1:3-2:3 1,2 tied-octaves", "2:3-3:3 1,2 tied-octaves"]
    two = octaves.replace("- G | - A | B", "- A | - B | C").replace("G3 | E | G", "F3 | G | A")
    assert told("parallel-afterbeat", two.format(FOUR)) == ["1:3-2:3 1,2 tied-octave"]
