"""One voice alone, from note to note: intervals, leaps on leaps, runs.

Fux 1725; Rockstro 1883; Cherubini 1835, rule 15; Jeppesen 1931, by a digest; Bridge, Counterpoint, chapters 3 and 10; Lehmann.
"""

from __future__ import annotations

import pytest
from melody_heads import THREE, upper
from rule_cases import told
from written import score

from trainer.rules.melody.outlines import sweeps
from trainer.rules.texture import Texture


@pytest.mark.parametrize(
    ("rule", "line", "expected"),
    [
        ("sixth-leap", "C5 | A5", ["1:1-2:1"]),
        ("sixth-leap", "A5 | C5", ["1:1-2:1"]),
        ("sixth-leap", "E4 | C5", []),
        ("sixth-leap", "C5 | E4", ["1:1-2:1 minor-down"]),
        ("sixth-leap", "C5 | E4 | F", ["1:1-2:1 minor-down-turned"]),
        ("sixth-leap", "C5 | E4 | D", ["1:1-2:1 minor-down"]),
        ("sixth-leap", "C5 | E4 | E | F", ["1:1-2:1 minor-down"]),
        ("sixth-leap", "C5 | . | E4", []),
        ("seventh-ninth-leap", "D4 | C5", ["1:1-2:1"]),
        ("seventh-ninth-leap", "D4 | D5", []),
        ("seventh-ninth-leap", "D4 | E5", ["1:1-2:1"]),
        ("seventh-ninth-leap", "D5 | D4 | D6", ["2:1-3:1"]),
        ("seventh-ninth-leap", "D4 | . | C5", ["1:1-3:1 over-rest"]),
        ("seventh-ninth-leap", "D4 . | . C5", ["1:1-2:3 over-rest"]),
        ("augmented-leap", "F4 | B", ["1:1-2:1"]),
        ("augmented-leap", "F4 | G#", ["1:1-2:1"]),
        ("augmented-leap", "G#4 | F", ["1:1-2:1"]),
        ("augmented-leap", "B4 | F5", []),
        ("diminished-leap", "B4 | F5 | E", ["1:1-2:1 turned"]),
        ("diminished-leap", "B4 | F5 | D", ["1:1-2:1"]),
        ("diminished-leap", "B4 | F5 | G", ["1:1-2:1"]),
        ("diminished-leap", "B4 | F5", ["1:1-2:1"]),
        ("diminished-leap", "G#4 | C5 | B", ["1:1-2:1 turned"]),
        ("diminished-leap", "C#5 | Bb5 | A", ["1:1-2:1 turned"]),
        ("leap-size", "C#5 | Eb", ["1:1-2:1"]),
        ("leap-size", "C5 | D | F | C | G4 | G5", []),
        ("chromatic-step", "B4 | Bb", ["1:1-2:1"]),
        ("chromatic-step", "B4 | . | Bb", []),
        ("chromatic-step", "B4 | Bb5", []),
    ],
)
def test_single_intervals(rule: str, line: str, expected: list[str]) -> None:
    assert upper(rule, line) == expected


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("A4 B C D", ["A4 B4 C5 D5"]),
        ("A4 B C B", ["A4 B4 C5", "C5 B4"]),
        ("A4 B A B", ["A4 B4", "B4 A4", "A4 B4"]),
        ("A4 A B C", ["A4 B4 C5"]),
        ("A4 B B C", ["A4 B4 C5"]),
        ("A4 B . C5", ["A4 B4"]),
        ("A4 . B C", ["B4 C5"]),
        ("A4 - - -", []),
    ],
)
def test_a_line_is_a_row_of_runs_from_turn_to_turn(line: str, expected: list[str]) -> None:
    found = Texture(score(f"{line} // D4")).lines[0]
    assert [" ".join(tone.name for tone in one) for one in sweeps(found)] == expected


@pytest.mark.parametrize(
    ("rule", "line", "expected"),
    [
        ("tritone-outline", "A4 | F | G | A | B | A", ["2:1-5:1"]),
        ("tritone-outline", "A4 | B | A | G | F | G", ["2:1-5:1"]),
        ("tritone-outline", "A4 | F | B | A", []),  # a leap is told as one
        ("tritone-outline", "C5 | B | C | D | F | E", ["2:1-5:1 diminished-fifth"]),
        ("tritone-outline", "C5 | F4 | G | A | B", ["2:1-5:1"]),
        ("tritone-outline", "A4 | E | F | G | A | B | A", []),
        ("seventh-outline", "D4 | F | G | C5 | B", ["1:1-4:1"]),
        ("seventh-outline", "D4 | F | A | E5 | D", ["1:1-4:1"]),
        ("seventh-outline", "D4 | E | F | G | A | C5 | B", []),
        ("seventh-outline", "D4 | F | A | D5 | C", []),
    ],
)
def test_runs(rule: str, line: str, expected: list[str]) -> None:
    assert upper(rule, line) == expected


def test_how_many_leaps_make_a_seventh_an_outline_a_set_may_say() -> None:
    assert upper("seventh-outline", "D4 | E | F | G | A | C5 | B", leaps=1) == ["1:1-6:1"]
    assert upper("seventh-outline", "D4 | F | G | C5 | B", leaps=3) == []


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("D4 | F | A | G", ["1:1-3:1 triad"]),
        ("D4 | F | B4 | G", ["1:1-3:1 triad"]),  # a third and a fourth
        ("D4 | G | B | G", ["1:1-3:1 triad"]),
        ("A4 | F | C | D", ["1:1-3:1 triad"]),
        ("D4 | G | C5 | B", ["1:1-3:1 seventh"]),
        ("D4 | F | C5 | B", ["1:1-3:1 seventh"]),
        ("D4 | A4 | D5 | C", ["1:1-3:1 octave"]),
        ("D4 | G | D5 | C", ["1:1-3:1 octave-uneven"]),
        ("D5 | A | D4 | E", ["1:1-3:1 octave-uneven"]),  # downwards Fux has it in the bass only (figs 116, 122, 154)
        ("D5 | G4 | D | E", ["1:1-3:1 octave-uneven"]),
        ("D4 | A4 | E5 | D", ["1:1-3:1 over-octave"]),
        ("E4 | G | E5 | D", ["1:1-3:1"]),
        ("D4 | F | D | F", []),
        ("D4 | F | G | B", []),
        ("D4 | F | . | A", []),
    ],
)
def test_two_leaps_one_way(line: str, expected: list[str]) -> None:
    assert upper("two-leaps-same-way", line) == expected


def test_the_lowest_voice_may_leap_wider() -> None:
    head = "species: 1; mode: D dorian; cantus: soprano; sing: bass ::"
    assert told("two-leaps-same-way", f"{head} A4 | G | G | A // D3 | G | C4 | B") == ["1:1-3:1 2 seventh-bass"]
    assert told("two-leaps-same-way", f"{head} A4 | G | F | A // D3 | G | D4 | C") == ["1:1-3:1 2 octave-uneven-bass"]


@pytest.mark.parametrize(
    ("rule", "line", "expected"),
    [
        ("three-leaps", "D4 | F | D | F | E", ["1:1-4:1"]),
        ("three-leaps", "D4 | F | D | F | A | G", ["1:1-5:1"]),
        ("three-leaps", "D4 | F | D | E | G | E | F", []),
        ("three-leaps", "D4 | E | C | F | D | A4", ["2:1-6:1"]),
        ("three-leaps", "D4 | F | D | E | G | E | C", ["4:1-7:1"]),
        ("three-leaps", "D4 | F | D | . | F | D", []),
        ("larger-below", "D4 | F | B4 | A", ["1:1-3:1"]),
        ("larger-below", "D4 | G | B | A", []),
        ("larger-below", "B4 | F# | D | E", ["1:1-3:1"]),  # down: the fourth first, the third below it
        ("larger-below", "B4 | G | D | E", []),
        ("larger-below", "D4 | F | A | G", []),
        ("larger-below", "D4 | F | G | B", []),
    ],
)
def test_leaps_on_leaps(rule: str, line: str, expected: list[str]) -> None:
    assert upper(rule, line) == expected


def test_how_many_leaps_are_too_many_a_set_may_say() -> None:
    assert upper("three-leaps", "D4 | F | D | F | E", leaps=4) == []
    assert upper("three-leaps", "D4 | F | D | E", leaps=2) == ["1:1-3:1"]


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("D4 | A4 | G | F", []),
        ("D4 | A4 | F", ["1:1-3:1 third"]),
        ("D4 | A4 | E", ["1:1-3:1 loose"]),
        ("D4 | A4 | A", ["1:1-3:1 loose"]),
        ("D4 | A4 | B", ["1:1-3:1 goes-on"]),
        ("D4 | A4 | C5", ["1:1-3:1 goes-on"]),
        ("E4 | C5 | D", ["1:1-3:1 wide-goes-on"]),
        ("D4 | D5 | E", ["1:1-3:1 wide-goes-on"]),
        ("D4 | C5 | D", ["1:1-3:1 goes-on"]),  # a seventh is a fault of its own
        ("D4 | E5 | F", []),  # so is a ninth, and it is no large leap to turn back from
        ("D4 | G | A", []),
        ("A4 | D4 | E", []),
        ("A4 | D4 | C", ["1:1-3:1 goes-on"]),
        ("D4 | A4", []),
    ],
)
def test_after_a_large_leap(line: str, expected: list[str]) -> None:
    assert upper("leap-recovery", line) == expected


def test_a_set_says_from_where_a_leap_is_large() -> None:
    assert upper("leap-recovery", "D4 | G | A", **{"from": 4}) == ["1:1-3:1 goes-on"]
    assert upper("leap-recovery", "D4 | A4 | B", **{"from": 6}) == []


def test_a_sixth_may_step_on_in_whole_notes_above_two_parts() -> None:
    three = "species: 1; mode: D dorian; cantus: bass; sing: soprano :: {} // C4 | E | F | G // A3 | A | D | C"
    assert told("leap-recovery", three.format("E4 | C5 | D | C")) == ["1:1-3:1 1 goes-on"]
    assert told("leap-recovery", three.format("E4 | C5 | E | D")) == ["1:1-3:1 1 wide-goes-on"]
    assert told("leap-recovery", three.format("E4 | E5 | F | E")) == ["1:1-3:1 1 wide-goes-on"]
    halves = "species: 2; mode: D dorian; cantus: bass; sing: soprano :: . E4 | C5 D | C // C4 | E | G // A3 | A | C"
    assert told("leap-recovery", halves) == ["1:3-2:3 1 wide-goes-on"]


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("D4 E F G | C5 B A G | F", ["1:1-2:1"]),
        ("D5 C B A | F G A B | C", ["1:1-2:1"]),
        ("D4 E F G | A B E5 D | C", ["1:3-2:3"]),
        ("D4 E F G | A D5 C B | A", []),  # on to a weak beat
        ("D4 E F G | A B C D | E", []),
        ("D4 E F G | E F A B | C", []),  # the leap turns back first
        ("D4 F G A | D5 C B A | B", []),  # two steps only
        ("D4 E F . | C5 B A G | F", []),
    ],
)
def test_a_leap_after_a_run(line: str, expected: list[str]) -> None:
    assert upper("leap-after-run", line, THREE) == expected


def test_how_long_a_run_is_a_set_may_say() -> None:
    assert upper("leap-after-run", "D4 F G A | D5 C B A | B", THREE, steps=2) == ["1:2-2:1"]
    assert upper("leap-after-run", "D4 E F G | C5 B A G | F", THREE, steps=4) == []
