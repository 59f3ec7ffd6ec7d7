"""One voice alone, as a line: notes said again, its whole shape, its altered notes.

Fux 1725; Rockstro 1883; Cherubini 1835, rule 15; Jeppesen 1931, by a digest; Bridge, Counterpoint, chapters 3 and 10; Lehmann.
"""

from __future__ import annotations

import pytest
from melody_heads import ONE, THREE, TWO, upper
from rule_cases import told

# said again


@pytest.mark.parametrize(
    ("head", "line", "expected"),
    [
        (ONE, "A4 | A | G", ["1:1-2:1"]),
        (ONE, "A4 | A | A | G", ["1:1-3:1"]),
        (ONE, "A4 | A | A | A | G", ["1:1-4:1 many"]),
        (ONE, "A4 | A4 | A5 | G", ["1:1-2:1"]),
        (ONE, "A4 | . | A | G", []),
        (TWO, "A4 A | G E | F", ["1:1-1:3 moving"]),
        (TWO, "A4 | A E | F", ["1:1-2:1 moving"]),
        (TWO, "A4 G | G E | F", ["1:3-2:1 moving"]),
        (ONE, "A4 | A | G | G | F | A | A", ["1:1-2:1", "3:1-4:1", "6:1-7:1"]),
    ],
)
def test_a_note_struck_again(head: str, line: str, expected: list[str]) -> None:
    assert upper("repeated-note", line, head) == expected


def test_how_often_a_whole_note_may_come_again_a_set_may_say() -> None:
    assert upper("repeated-note", "A4 | A | A | G", most=2) == ["1:1-3:1 many"]


def test_an_inner_voice_is_told_apart() -> None:
    text = (
        "species: 1; mode: D dorian; cantus: bass; sing: soprano :: A4 | B | C5 | D // F4 | F | F | F // D3 | D | A | B"
    )
    assert told("repeated-note", text) == ["1:1-2:1 3", "1:1-4:1 2 many-inner"]
    assert told("repeated-note", text, most=4) == ["1:1-2:1 3", "1:1-4:1 2 inner"]


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("A4 B A B | A G F E | D", ["1:1-1:4"]),
        ("A4 B A B | A B A B | D", ["1:1-1:4", "1:4-2:3"]),
        ("A4 B A G | A G A B | C5", ["1:3-2:2"]),
        ("A4 A A A | G G G G | D", []),
        ("A4 B A - | B A G F | D", ["1:1-2:1"]),
        ("A4 B A . | B A G F | D", []),
    ],
)
def test_to_and_fro(line: str, expected: list[str]) -> None:
    assert upper("trill-figure", line, THREE) == expected


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("D4 E | F D | E F | G E | D", ["1:1-4:3"]),
        ("D4 E | F D | D E | F D | D", []),  # on the same degree
        ("D4 E | F D | F E | D F | D", []),
        ("D4 E | F D | E F | G F | D", []),
        ("D4 E | F D | E F | G E | F G | A F | D", ["1:1-4:3", "3:1-6:3"]),
        ("D4 - | F D | E F | G E | D", []),
        ("D4 E | F D | E - | G E | D", []),
    ],
)
def test_a_figure_of_two_bars_on_another_degree(line: str, expected: list[str]) -> None:
    assert upper("sequence", line, TWO) == expected


def test_how_long_a_figure_is_a_set_may_say() -> None:
    one = "D4 E F D | E F G E | D"
    assert upper("sequence", one, THREE, bars=1) == ["1:1-2:4"]
    assert upper("sequence", "D4 D D D | E E E E | D", THREE, bars=1) == []
    assert upper("sequence", "D4 E | E F | D", TWO, bars=1) == []  # two notes are no figure


# the whole line


@pytest.mark.parametrize(
    ("rule", "line", "expected"),
    [
        ("range-tenth", "C4 | G4 | C5 | E", []),
        ("range-tenth", "C4 | G4 | C5 | F", ["1:1-4:1"]),
        ("range-tenth", "F5 | C | G4 | C4", ["1:1-4:1"]),
        ("single-climax", "A4 | C5 | B | C | A", ["2:1-4:1"]),
        ("single-climax", "A4 | C5 | B | D | A", []),
        ("single-nadir", "A4 | C5 | A | B", ["1:1-3:1"]),
        ("single-nadir", "A4 | C5 | B | C", []),
        ("static-range", "A4 | B | C5 | D | C | B | E", ["1:1-6:1"]),
        ("static-range", "A4 | B | C5 | D | C | E | F", []),
        ("static-range", "A4 | F | C5 | B | A | B | C | A | F", ["3:1-8:1"]),
        ("static-range", "A4 | B | C5 | B | A | C | B", ["1:1-7:1"]),
    ],
)
def test_the_whole_line(rule: str, line: str, expected: list[str]) -> None:
    assert upper(rule, line) == expected


def test_how_wide_a_line_and_how_long_a_stretch_may_be_a_set_may_say() -> None:
    assert upper("range-tenth", "C4 | G4 | C5 | D", most=8) == ["1:1-4:1"]
    assert upper("static-range", "A4 | B | C5 | D | E", notes=3) == ["1:1-4:1"]
    assert upper("static-range", "A4 | B | C5 | D", notes=4) == []


STEPS = "D4 | F | A | F | A | C5 | A | F | G"
"""Eight moves, one of them a step: 12 of a hundred."""


@pytest.mark.parametrize(
    ("line", "least", "told_of"),
    [
        (STEPS, "1:45", True),
        (STEPS, "1:12", False),
        (STEPS, "1:13", True),
        (STEPS, "2:45", False),
        ("D4 | F | A | F | A | C5 | A | F", "1:45", False),  # seven moves say nothing
        ("D4 | F | A | F | A | C5 | A | A | F", "1:45", False),
        ("D4 | F | A | F | . | A | C5 | A | F | G", "1:45", False),
        ("D4 | E | F | G | F | G | A | G | F", "1:100", False),
    ],
)
def test_the_share_of_steps(line: str, least: str, told_of: bool) -> None:
    bars = line.count("|") + 1
    assert upper("step-share", line, least=least) == ([f"1:1-{bars}:1"] if told_of else [])


def test_the_bass_of_four_parts_may_leap_more() -> None:
    low = "D3 | F | A | F | A | C4 | B3 | A | G"  # three of eight: 37
    others = [
        "D5 | E | F | E | D | E | F | E | D",
        "A4 | B | C5 | B | A | B | C5 | B | A",
        "F4 | G | A | G | F | G | A | G | F",
    ]
    head = "species: 1; mode: D dorian; cantus: soprano; sing: bass ::"
    assert told("step-share", f"{head} {' // '.join([*others, low])}") == []
    assert told("step-share", f"{head} {' // '.join([*others, low])}", bass=5) == ["1:1-9:1 4"]
    assert told("step-share", f"{head} {' // '.join([*others[:2], low])}") == ["1:1-9:1 3"]
    assert told(
        "step-share", f"{head} {' // '.join([low.replace('3', '4').replace('C4', 'C5'), *others[:2], others[2]])}"
    ) == ["1:1-9:1 1"]


def test_highest_notes_of_two_voices_in_one_bar() -> None:
    three = "species: 1; mode: D dorian; cantus: alto; sing: soprano :: {} // D4 | F | E // A3 | {} | G"
    assert told("climax-together", three.format("A4 | D5 | B", "B3")) == [
        "2:1-2:1 1,2",
        "2:1-2:1 1,3 outer",
        "2:1-2:1 2,3",
    ]
    assert told("climax-together", three.format("A4 | B | D5", "F3")) == []
    assert told("climax-together", f"{TWO} A4 B | G D5 | B // D3 | F | E") == ["2:1-2:3 1,2 outer"]


def test_a_named_voice_keeps_its_compass() -> None:
    assert told("range-voice", f"{ONE} C4 | B3 | A3 | C4 // C3 | G | C | E2") == ["2:1-3:1 1"]
    assert told("range-voice", f"{ONE} C4 | G5 | A5 | C4 // C3 | D4 | C | D2") == ["2:1-4:1 2", "3:1-3:1 1"]
    assert told("range-voice", f"{ONE} C4 | B3 // C3 | G", soprano="B3..G5") == []


# altered notes

MINOR = "mode: A minor; species: 1; cantus: bass; sing: soprano ::"


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("E4 | F# | G# | A", []),
        ("A4 | G | F | E", []),
        ("A4 | G# | F | E", ["2:1-3:1"]),
        ("F4 | G# | A", ["1:1-2:1", "2:1-3:1"]),
        ("A4 | G# | F# | E", ["2:1-3:1", "3:1-4:1"]),
        ("E4 | F# | E", ["2:1-3:1"]),
        ("E4 | F# | G | A", ["2:1-3:1", "3:1-4:1"]),
        ("D4 | F# | G# | A", ["2:1-3:1"]),
        ("E4 | F | G | F", ["2:1-3:1"]),
        ("E4 | G | A", ["2:1-3:1"]),
        ("A4 | G# | E", []),  # inside the chord on the fifth
        ("A4 | G# | C5", ["2:1-3:1"]),
        ("A4 | G# | G# | A", []),
        ("A4 | G# | . | F", []),
    ],
)
def test_the_sixth_and_seventh_degrees_of_minor(line: str, expected: list[str]) -> None:
    assert upper("minor-6-7", line, MINOR) == expected


FREE = "species: free; mode: D dorian ::"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("A4 | G# | A // G3 | E | A", ["1:1-2:1 1,2 outer"]),
        ("A4 | G# | A // G4 | E | E // C4 | C | C", ["1:1-2:1 1,2"]),
        ("A4 | G | A // E4 | E | F // C3 | G# | A", []),
        ("A4 G | E | A // E4 | E | F // C3 | G# | A", ["1:3-2:1 1,3 outer"]),
        ("G4 A | E | A // E4 | G# | A", []),  # more than a beat before
        ("G4 - - A | B | A // E4 | G# | A", []),
        ("G4 - - - | B | A // E4 | G# | A", ["1:1-2:1 1,2 outer"]),
        ("A4 A A G | B | A // E4 | G# | A", ["1:4-2:1 1,2 outer"]),
        ("G4 G# | A // E4 | E", []),  # both in one voice
        ("G4 | G // E4 G# | E", ["1:1-1:3 1,2 outer"]),  # against a note that still sounds
    ],
)
def test_cross_relations(text: str, expected: list[str]) -> None:
    assert told("cross-relation", f"{FREE} {text}") == expected


@pytest.mark.parametrize(
    ("mode", "line", "expected"),
    [
        ("D dorian", "A4 | Bb | F# | C#5 | D", ["3:1-3:1"]),
        ("D dorian", "A4 | C#5 | A | B | D", ["2:1-2:1"]),
        ("D dorian", "A4 | B | A | C#5 | D", []),
        ("F lydian", "A4 | Bb | C5 | E | F", []),
        ("G mixolydian", "A4 | Bb | C5 | F# | G", ["2:1-2:1"]),
        ("A minor", "A4 | F# | G# | C#5 | A4", ["4:1-4:1"]),
        ("A aeolian", "A4 | F# | A | G# | A", ["2:1-2:1"]),
        ("D dorian", "F#4 | D", ["1:1-1:1"]),
        ("D dorian", "C#5 | D", []),
        ("D dorian", "F#4", []),  # one bar has no close
    ],
)
def test_signs_that_a_mode_does_not_use(mode: str, line: str, expected: list[str]) -> None:
    assert upper("accidentals", line, f"species: 1; mode: {mode}; cantus: bass; sing: soprano ::") == expected
