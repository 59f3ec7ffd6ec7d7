"""Dissonant ties from their preparation to their resolution, the company they keep, and the chains that they make.

Fux 1725 by his figures; Rockstro 1883; Cherubini 1835, rule 63; Bridge c. 1878, chapters 9 and 12; Lehmann, lessons VI and IX.
"""

from __future__ import annotations

import pytest
from rule_cases import told
from written import score

from trainer.rules.piece import Piece
from trainer.rules.suspension import due

FOUR = "species: 4; mode: D dorian; cantus: bass; sing: soprano ::"
FIVE = "species: 5; mode: D dorian; cantus: bass; sing: soprano ::"
LOW = "species: 4; mode: D dorian; cantus: soprano; sing: bass ::"
TRIPLE = "meter: 3/2; species: 4; mode: D dorian; cantus: bass; sing: soprano ::"


def suspensions(text: str) -> list[tuple[str, str, str]]:
    return [(one.figure, one.outcome, one.ornament) for one in Piece(score(text)).suspensions]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # over the bass
        (". C5 | - B | A // A3 | D4 | F", ("7-6", "resolved", "")),
        (". C5 | - B | C // C4 | G | C", ("4-3", "resolved", "")),
        (". E5 | - D | C // C4 | D | A", ("9-8", "resolved", "")),
        (". E4 | - D | C // C4 | D | A3", ("2-1", "resolved", "")),
        (". C5 | - D | E // C4 | D | C", ("7-8", "rises", "")),
        # the bass itself
        ("F4 | G | A // . F4 | - E | F", ("2-3", "resolved", "")),
        ("F5 | G | A // . F4 | - E | F", ("2-3", "resolved", "")),
        ("D5 | E | F // . D4 | - E | D", ("2-1", "rises", "")),
        ("C5 | B | A // . C4 | - B3 | C4", ("7-8", "resolved", "")),
    ],
)
def test_a_suspension_has_its_figure(text: str, expected: tuple[str, str, str]) -> None:
    assert suspensions(text) == [expected]


@pytest.mark.parametrize(
    "text", [". D5 | - C | D // D4 | G | F", "A4 | B | A // . D4 | - C# | D", ". C5 | - A | B // C4 | E | G3"]
)
def test_a_tie_over_a_fifth_or_a_sixth_is_none(text: str) -> None:
    assert suspensions(text) == []


def test_the_nearest_of_several_clashes_gives_the_bass_its_figure() -> None:
    (found,) = suspensions("D5 | E5 | D // A4 | G4 | A // . F4 | - E | F")
    assert found == ("2-3", "resolved", "")


def test_when_a_resolution_is_due() -> None:
    even = Piece(score("A4 | B // D4 | E")).texture
    quarter = even.ticks
    assert due(even, 0) == (2 * quarter,)
    assert due(even, 2 * quarter) == (3 * quarter,)
    assert due(even, 4 * quarter) == (6 * quarter,)
    triple = Piece(score("meter: 3/4 :: A4 | B // D4 | E")).texture
    assert due(triple, 0) == (triple.ticks, 2 * triple.ticks)
    assert due(triple, triple.ticks) == (2 * triple.ticks,)


@pytest.mark.parametrize(
    ("bar", "expected"),
    [
        ("- B A", ("7-6", "resolved", "")),
        ("- - B", ("7-6", "resolved", "")),
        ("- A B", ("7-6", "ornamented", "third below")),
        ("- C B", ("7-6", "ornamented", "restruck")),
        ("- - A", ("7-6", "broken", "")),
        ("- - -", ("7-8", "rises", "")),  # a bar later
    ],
)
def test_triple_time_gives_it_two_beats(bar: str, expected: tuple[str, str, str]) -> None:
    assert suspensions(f"meter: 3/2 :: . . C5 | {bar} | D // A4 | D4 | D") == [expected]


@pytest.mark.parametrize(
    ("bar", "expected"),
    [
        ("- B,C B A", ("7-6", "ill ornamented", "")),  # back up to the tied note: not in Fux, nor among the taught ones
        ("- B,A B A", ("7-6", "ornamented", "turn below")),
        ("- D,C B A", ("7-6", "ill ornamented", "")),
        ("- B B A", ("7-6", "ornamented", "resolution anticipated")),
        ("- F4 B A", ("7-6", "ornamented", "fifth below")),
        ("- G4 B A", ("7-6", "ill ornamented", "")),
        ("- . B A", ("7-6", "broken", "")),  # a rest is no tie
        ("- - . B", ("7-6", "broken", "")),
        ("- A G F", ("7-6", "broken", "")),
        ("- D E F", ("7-8", "rises", "")),
    ],
)
def test_what_stands_between_a_tie_and_its_resolution(bar: str, expected: tuple[str, str, str]) -> None:
    assert suspensions(f". C5 | {bar} | D // A4 | D4 | D") == [expected]


def test_a_leap_in_between_is_to_a_consonance() -> None:
    # A over D is a fifth, over E a fourth
    assert suspensions(". C5 | - A B A | G // A4 | D4 | E") == [("7-6", "ornamented", "third below")]
    assert suspensions(". D5 | - B C B | A // A4 | E4 | F") == [("7-6", "ornamented", "third below")]
    assert suspensions(". D5 | - B C B | A // A4 | E4 | F // F4 | A3 | D") == [("4-3", "ill ornamented", "")]


# preparation


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (f"{FOUR} . C5 | - B | A // A4 | D4 | F", []),
        (f"{FOUR} . B4 | - A | G // A4 | C4 | E", ["1:3-2:1 1"]),
        (f"{FOUR} . C5 | - B | A // G4 | G | F", ["1:3-2:1 1 standing-fourth"]),
        (f"{FOUR} . C5 | - B | A // G3 | G | F", ["1:3-2:1 1 standing-fourth"]),
        (f"{FOUR} . C5 | - B | A // G3 | D4 | F", ["1:3-2:1 1"]),  # the bass goes on
        (f"{FOUR} . C5 | - B | A // D4 | D | F", ["1:3-2:1 1"]),  # a seventh
        (f"{LOW} A4 | B | C // . F4 | - E | C", []),
        (f"{LOW} B4 | G | C // . F4 | - E | C", ["1:3-2:1 2"]),  # the bass is tied from a tritone
        ("species: 4; mode: D dorian; cantus: alto; sing: soprano :: . C5 | - B | A // F4 | A | F // A3 | D4 | F", []),
        # struck again, it has its preparation in another note
        (f"{FIVE} . B4 | B A G F | E // A4 | C4 | E", []),
    ],
)
def test_a_tie_into_a_dissonance_begins_consonant(text: str, expected: list[str]) -> None:
    assert told("susp-prep", text) == expected


@pytest.mark.parametrize(
    ("bass", "expected"),
    [("E4 | D | A", ["1:3-2:1 1,2"]), ("C4 | D | A", []), ("E3 | D | A", ["1:3-2:1 1,2"]), ("A3 | D4 | A", [])],
)
def test_a_ninth_is_not_prepared_by_an_octave(bass: str, expected: list[str]) -> None:
    assert told("9-8-prep", f"{FOUR} . E5 | - D | C // {bass}") == expected


# resolution


@pytest.mark.parametrize(
    ("line", "bass", "expected"),
    [
        (". C5 | - B | A", "A4 | D4 | F", []),
        (". C5 | - D | E", "A4 | D4 | C", ["2:1-2:3 1"]),
        (". C5 | - A | B", "A4 | D4 | E", ["2:1-2:3 1"]),
        (". C5 | - . | B", "A4 | D4 | E", ["2:1-2:3 1"]),
        (". C5 | - | B A | G", "A4 | D4 | D | E", ["2:1-3:1 1 late"]),
        (". C5 | - B - A | G", "A4 | D4 | E", ["2:1-2:3 1 early"]),
        (". C#5 | - D | E", "A4 | D4 | C", ["2:1-2:3 1 retardation"]),
        (". C#5 | - D# | E", "A4 | D4 | C", ["2:1-2:3 1"]),
        (". B4 | - C | D", "G4 | C4 | A3", ["2:1-2:3 1"]),  # a semitone up, but no leading tone of D
    ],
)
def test_a_dissonant_tie_falls_a_step_on_the_weak_half(line: str, bass: str, expected: list[str]) -> None:
    assert told("susp-resolve-down", f"{FOUR} {line} // {bass}") == expected
    assert told("ornamented-resolution", f"{FOUR} {line} // {bass}") == []


@pytest.mark.parametrize(
    ("bar", "expected"),
    [
        ("- B B A", []),
        ("- B,A B A", []),
        ("- G4 B -", ["2:1-2:3 1"]),
        ("- E B -", ["2:1-2:3 1"]),
        ("- B A G", ["2:1-2:3 1"]),  # too early, told to where it was due
        ("- - - B", ["2:1-2:4 1"]),  # too late
        ("- D E D", []),  # left upward: for the rule of resolutions
    ],
)
def test_an_ornamented_tie_comes_to_its_resolution_on_the_third_quarter(bar: str, expected: list[str]) -> None:
    text = f"{FIVE} . C5 | {bar} | A // A4 | D4 | F"
    assert told("ornamented-resolution", text) == expected
    assert told("susp-resolve-down", text) == (["2:1-2:2 1"] if bar == "- D E D" else [])


# company

INNER = "species: 4; mode: D dorian; cantus: alto; sing: soprano ::"


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (f"{INNER} . C5 | - B | A // F4 | F | C // A3 | D4 | F3", []),
        (f"{INNER} . C5 | - B | A // F4 | F | C // A3 | D4 B3 | F3", ["2:1-2:3 1,3 at-resolution"]),
        (f"{INNER} . C5 | - B | A // F4 | F | C // A3 | D4 C | F3", ["2:1-2:3 1,3"]),  # into another clash
        (f"{INNER} . C5 | - B | A // F4 | F | C // A3 | D4 B3 D4 - | F3", ["2:1-2:3 1,3"]),  # before it falls
        (
            f"{INNER} . C5 | - B | A // F4 | F | C // A3 | D4 D3 | F3",
            ["2:1-2:3 1,3 at-resolution"],
        ),  # to the other octave
        (f"{INNER} . C5 | - B | A // F4 | F | C // A3 | D4 D | F3", []),  # struck again it is still there
        (f"{INNER} . C5 | - A | A // F4 | F | C // A3 | D4 B3 | F3", []),  # no resolution to wait for
    ],
)
def test_the_note_under_a_suspension_stays(text: str, expected: list[str]) -> None:
    assert told("susp-bass-still", text) == expected


def test_over_a_suspended_bass_one_voice_is_enough_to_keep_the_clash() -> None:
    head = "species: 4; mode: D dorian; cantus: soprano; sing: bass ::"
    assert told("susp-bass-still", f"{head} A4 | G | A // C5 | G4 C5 | C // . F4 | - E | F") == []
    assert told("susp-bass-still", f"{head} A4 | G C | A // C5 | G4 C5 | C // . F4 | - E | F") != []


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (f"{FOUR} . C5 | - B | A // E4 | B3 | C4 // A3 | D3 | F3", ["2:1-2:3 1,2"]),
        (f"{FOUR} . C5 | - B | A // E4 | Bb3 | C4 // A3 | D3 | F3", []),
        (f"{FOUR} . C5 | - B | A // E4 | F | C4 // A3 | D3 | F3", []),
        (f"{FOUR} . E5 | - D | C // G4 | A | A // C4 | D | A", []),  # the bass under a ninth
        (f"{FOUR} . E5 | - D | C // G4 | D | E // C4 | D | A", ["2:1-2:3 1,2"]),  # not an upper voice under it
        (f"{LOW} A4 | B | C // . C4 | - B3 | A", []),  # 7-8 of the bass
        (f"{FOUR} . C5 | - D | E // E4 | B3 | C4 // A3 | D3 | C", []),  # nothing is awaited
        (f"{FOUR} . C5 | - A | E // E4 | B3 | C4 // A3 | D3 | C", []),
        # in passing, or for a half note
        (f"{FOUR} . C5 | - B | A // E4 | F B3 C4 - | C // A3 | D3 | F3", []),
        (f"{FOUR} . C5 | - - B - | A // E4 | F B3 - D4 | C // A3 | D3 | F3", ["2:1-2:3 1,2"]),
    ],
)
def test_no_other_voice_sounds_the_resolution_before_it(text: str, expected: list[str]) -> None:
    assert told("susp-note-anticipated", text) == expected


def test_two_suspended_at_once() -> None:
    head = "cantus: bass; species: 4; sing: soprano ::"
    assert told("double-suspension", f"{head} . C5 | - B | C // . A4 | - G | G // A3 | G3 | E3") == ["2:1-2:1 1,2"]
    assert told("double-suspension", f"{head} . C5 | - B | C // . D4 | - D | E // A3 | G3 | C3") == []
    assert told("double-suspension", f"{head} . C5 | - B | A | G // A3 | D4 . | . G3 | G") == []


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (f"{FOUR} . E5 | - D | C // C4 | D | A", ["2:1-2:1 1,2 9-8-once"]),
        (f"{FOUR} . E5 | - D | - C | B // C4 | D | C | G", ["2:1-2:1 1,2 9-8", "3:1-3:1 1,2 9-8"]),
        (f"{FOUR} . E4 | - D | C // C4 | D | A3", ["2:1-2:1 1,2 2-1"]),
        (f"{FOUR} . C5 | - B | A // A4 | D4 | F", []),
        (f"{LOW} F4 | B4 | A // . F4 | - E | F", ["2:1-2:1 1,2 bass-4-5"]),
        (f"{LOW} F4 | G | A // . F4 | - E | F", []),
        (f"{LOW} A4 | B | C // . C4 | - B3 | A", ["2:1-2:1 1,2 bass-7-8"]),
    ],
)
def test_figures_that_resolve_into_a_perfect_interval(text: str, expected: list[str]) -> None:
    assert told("susp-figure", text) == expected


# chains


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (f"{FOUR} . F5 | - E | - D | C // D4 | E | D | A", ["2:1-3:3 1,2 octave"]),
        (f"{FOUR} . C5 | - B | - A | G // A4 | D4 | C | B3", []),  # 7-6 7-6 are sixths
        (f"{FOUR} . F5 | - E | - D | C // D4 | E | A | A", []),
        (f"{LOW} D5 | C | B4 | A // . G4 | - F | - E | D", ["2:1-3:3 1,2 bass-4-5-once"]),
        (
            f"{LOW} D5 | C | B4 | A | A // . G4 | - F | - E | - D | D",
            ["2:1-3:3 1,2 fifth", "3:1-4:3 1,2 fifth"],
        ),
        # octaves in bars that are not neighbours
        (f"{FOUR} . F5 | - E | G F | - E | D - // D4 | E | C | E | D", []),
    ],
)
def test_a_chain_of_ties_only_delays_what_lies_under_it(text: str, expected: list[str]) -> None:
    assert told("susp-chain-perfect", text) == expected
