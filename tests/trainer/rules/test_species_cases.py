"""Values of every species, florid lines and ties kept up: what is found where, and what beside it is left alone.

The values are those of Fux 1725 by his figures; pairs of eighths and halves after quarters: Lehmann lesson IX and a university's handout;
ties: Bridge c. 1878, chapter 9.
"""

from __future__ import annotations

import pytest
from rule_cases import told

FIVE = "species: 5; mode: D dorian; cantus: bass; sing: soprano ::"
FOUR = "species: 4; mode: D dorian; cantus: bass; sing: soprano ::"
THREE = "species: 3; mode: D dorian; cantus: bass; sing: soprano ::"
TWO = "species: 2; mode: D dorian; cantus: bass; sing: soprano ::"
BASS = "D3 | C | D | F | E | D"
TRIPLE = "meter: 3/2; species: 5; mode: D dorian; cantus: bass; sing: soprano ::"


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        (". A4 | - G F E | F | D - | E | D", ["3:1-3:1 1", "4:1-4:1 1", "5:1-5:1 1"]),
        (". A4 | - G F E | F - - E | F - G A | - E | D", ["3:1-3:1 1 dotted-opening"]),
        (". A4 | - - - G | F - - E | F - G A | - - - E | D", ["3:1-3:1 1 dotted-opening"]),
        (". A4 | - G,F E F | G - F - | - E D - | - C# | D", []),
        (
            ". A4 | - G,F,E,F E F | G - A - | - E D - | - C# | D",
            ["2:2-2:2 1", "2:2.25-2:2.25 1", "2:2.5-2:2.5 1", "2:2.75-2:2.75 1"],
        ),
        (". A4 | - G,F,E D F | G - A - | - E D - | - C# | D", ["2:2-2:2 1", "2:2.333-2:2.333 1", "2:2.667-2:2.667 1"]),
    ],
)
def test_florid_values(line: str, expected: list[str]) -> None:
    assert told("florid-values", f"{FIVE} {line} // {BASS}") == expected


def test_florid_values_of_triple_time_fill_their_bar() -> None:
    assert told("florid-values", f"{TRIPLE} . A4 B | C5 | B - A | B - - | A // D3 | C | D | G | D") == []
    assert told("florid-values", f"{TRIPLE} . A4 B | C5 B,A,B,A,G A | B - A | A // D3 | C | D | D") == [
        f"2:{beat}-2:{beat} 1" for beat in ("2", "2.2", "2.4", "2.6", "2.8")
    ]


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        (". A4 | G E F - | G - A B | - A | - C# | D", ["2:1-2:3 1"]),
        (". A4 | G F E - | F - A B | - A | - C# | D", ["2:1-2:3 1 run-down"]),
        (". A4 | C5 B A - | F - A B | - A | - C# | D", ["2:1-2:3 1 run-down"]),
        (". A4 | E F G - | F - A B | - A | - C# | D", ["2:1-2:3 1"]),
        (". A4 | G E F - | - E A B | - A | - C# | D", []),  # tied over
        (". A4 | G E F G | F - A B | - A | - C# | D", []),
        (". A4 | - E F - | G - A B | - A | - C# | D", []),  # a tie and one quarter
        (". A4 | G,F E F - | G - A B | - A | - C# | D", []),
        (". A4 | G - F - | G - A B | - A | - C# | D", []),
    ],
)
def test_a_half_note_after_two_quarters(line: str, expected: list[str]) -> None:
    assert told("florid-half-after-quarters", f"{FIVE} {line} // {BASS}") == expected


def test_a_half_after_quarters_that_is_struck_again_as_a_suspension_is_as_good_as_tied() -> None:
    assert told("florid-half-after-quarters", f"{FIVE} . A4 | A F G - | G F E D | C // D3 | E | A | A2") == []
    assert told("florid-half-after-quarters", f"{FIVE} . A4 | A F G - | G F E D | C // D3 | E | E | A2") == [
        "2:1-2:3 1"
    ]


def test_in_triple_time_the_third_beat_may_be_long() -> None:
    assert told("florid-half-after-quarters", f"{TRIPLE} . A4 B | C5 B A | B - A | A // D3 | C | D | D") == []
    assert told("florid-half-on-2", f"{TRIPLE} . A4 B | C5 B - | B - A | A // D3 | C | D | D") == []


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        (". A4 | G E - F | G - A B | - A | - C# | D", ["2:2-2:2 1"]),
        (". A4 | G E - - | F - A B | - A | - C# | D", ["2:2-2:2 1"]),
        (". A4 | G E F - | G - A - | - A | - C# | D", []),
        (". A4 | G F,E D - | G - A - | - A | - C# | D", []),
    ],
)
def test_a_half_note_on_the_second_quarter(line: str, expected: list[str]) -> None:
    assert told("florid-half-on-2", f"{FIVE} {line} // {BASS}") == expected


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        (". A4 | G F,E F G | A - B - | - A | - C# | D", []),
        (". A4 | G F E D,E | F - A - | - G | - C# | D", []),
        (". A4 | G,F E F G | A - B - | - A | - C# | D", ["2:1-2:1.5 1"]),  # on the first quarter
        (". A4 | G F E,F G | A - B - | - A | - C# | D", ["2:3-2:3.5 1"]),  # on the third
        (". A4 | G F,E D,C D | A - B - | - A | - C# | D", ["2:2-2:3.5 1"]),  # four together
        (". A4 | G F,E D E,F | G - B - | - A | - C# | D", ["2:2-2:4.5 1"]),  # a second pair in the bar
        (". A4 | G F,E F G | A G,F E F | - A | - C# | D", ["3:2-3:2 1 two-bars"]),
        (". A4 | G F,E F G | A - B - | C5 B,A B G | - C# | D", []),
        (". A4 | G E,F G A | B - C5 - | - A | - C# | D", ["2:2-2:2.5 1 leapt-to"]),
        (". A4 | G F,E C D | B - C5 - | - A | - C# | D", ["2:2-2:2.5 1"]),  # left by leap
        (". A4 | G E,F D E | B - C5 - | - A | - C# | D", ["2:2-2:2.5 1"]),  # both by leap is one fault
        (". A4 | G F,. E D | B - C5 - | - A | - C# | D", ["2:2-2:2 1"]),  # one alone
        (". A4 | G E,D . F | B - C5 - | - A | - C# | D", ["2:2-2:2.5 1"]),
    ],
)
def test_pairs_of_eighths(line: str, expected: list[str]) -> None:
    assert told("florid-eighths", f"{FIVE} {line} // {BASS}") == expected


def test_one_eighth_of_a_pair_is_consonant() -> None:
    # B4 and A4 over G: the second is dissonant; over F# with C#: both
    assert told("florid-eighths", f"{FIVE} . A4 | C5 B,A B C | D // D3 | G | D") == []
    assert told("florid-eighths", f"{FIVE} . A4 | D5 C,B C D | A // D3 | A2 | D") == []
    assert told("florid-eighths", f"{FIVE} . C5 | D B,A G F | E // A3 | E | C // D3 | C | A2") != []


def test_the_first_and_the_last_note_of_a_line_are_no_pair() -> None:
    assert told("florid-eighths", f"{FIVE} . A4,G F E | D - E - | - - - D // D3 | E | D") == ["1:2-1:2.5 1"]


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        (". A4 | G F E F | - - G A | B - A - | - C# | D", ["2:4-3:1 1"]),  # a quarter into a half
        (". A4 | G F E F | - G A B | B - A - | - C# | D", []),  # a quarter into a quarter
        (". A4 | - - - G | F E D C | B3 - A - | - C#4 | D", ["1:3-2:1 1"]),
        (". A4 | - - G F | F E D C | B3 - A - | - C#4 | D", []),
        (". A4 | G F E F | G F E D | B3 - A - | B C#4 - D | -", []),  # into the last chord
        (". A4 | G F E D | - - - - | - - G A | - C# | D", ["2:4-3:1 1", "4:4-5:1 1"]),
    ],
)
def test_a_tie_goes_into_what_is_as_long_or_shorter(line: str, expected: list[str]) -> None:
    assert told("tie-value", f"{FIVE} {line} // A2 | D3 | D | F | D | D") == expected
    assert told("tie-value", f"{FIVE.replace('5', '4')} {line} // A2 | D3 | D | F | D | D") == expected
    assert told("tie-value", f"{FIVE.replace('5', '3')} {line} // A2 | D3 | D | F | D | D") == []


def test_a_tie_never_begins_on_a_dissonance() -> None:
    assert told("tie-value", f"{FIVE} . A4 | G - F - | - E D C | D // D4 | E4 | F4 | D4") == [
        "2:3-3:1 1 from-dissonance"
    ]
    # dissonant and into a longer note: one event
    assert told("tie-value", f"{FIVE} . A4 | G A G F | - - D C | D // D4 | E4 | F4 | D4") == [
        "2:4-3:1 1 from-dissonance"
    ]


# variety


def test_two_bars_running_of_one_rhythm() -> None:
    line = ". A4 | G F E F | G A B G | A - B - | - A - G | - F - G | A - - B | D"
    bass = "D3 | C | E | F | G | F | E | D"
    assert told("florid-species-run", f"{FIVE} {line} // {bass}") == ["2:1-3:1 1", "5:1-6:1 1"]
    # tied in or struck anew are two rhythms
    assert told("florid-species-run", f"{FIVE} . A4 | - F G - | A F G - | A // D3 | D | C | D") == []
    # two bars of nothing but a held note are one long note
    assert told("florid-species-run", f"{FIVE} . A4 | - - - - | - - - - | A // D3 | D | F | D") == []


MONOTONE = ". A4 | " + "G F E F | " * 6 + "D"
LONG_BASS = "D3 | " + "C | " * 6 + "D"


def test_a_florid_line_of_eight_bars_has_three_rhythms_and_two_suspensions() -> None:
    # seven bars before the last: two rhythms are fewer than three in eight
    assert told("florid-variety", f"{FIVE} {MONOTONE} // {LONG_BASS}") == ["1:1-7:1 1", "1:1-7:1 1 suspensions"]
    assert told("florid-variety", f"{FIVE} {MONOTONE} // {LONG_BASS}", patterns=2) == ["1:1-7:1 1 suspensions"]
    assert told("florid-variety", f"{FIVE} {MONOTONE} // {LONG_BASS}", patterns=2, suspensions=0) == []
    short = ". A4 | " + "G F E F | " * 5 + "D"
    assert told("florid-variety", f"{FIVE} {short} // D3 | {'C | ' * 5}D") == []


def test_rhythms_are_counted_by_the_bar() -> None:
    # eight bars with three rhythms are enough, nine bars want four
    eight = ". A4 | " + "G F E F | " * 6 + "G - F E | D"
    nine = ". A4 | " + "G F E F | " * 7 + "G - F E | D"
    assert told("florid-variety", f"{FIVE} {eight} // D3 | {'C | ' * 7}D", suspensions=0) == []
    assert told("florid-variety", f"{FIVE} {nine} // D3 | {'C | ' * 8}D", suspensions=0) == ["1:1-9:1 1"]


def test_suspensions_are_counted_in_their_own_voice() -> None:
    two = ". C5 | - B A G | A - G - | - F E D | C B3 C4 D | E F G A | B A G F | E"
    bass = "A3 | D | F | A2 | E | C | G | C"
    assert told("florid-variety", f"{FIVE} {two} // {bass}", patterns=1) == []
    assert told("florid-variety", f"{FIVE} {two} // {bass}", patterns=1, suspensions=3) == ["1:1-7:1 1 suspensions"]
    both = f"species: 5; mode: D dorian; cantus: bass :: {two} // . A3 | {'G - F E | G F E F | ' * 3}G // {bass}"
    assert told("florid-variety", both, patterns=1) == ["1:1-7:1 2 suspensions"]


# fourth species


@pytest.mark.parametrize(
    ("line", "bass", "expected"),
    [
        (". A4 | - G | - F | - E | - D | - C# | D", "D3 | E | D | C | B2 | A | D", []),
        (". A4 | B G | - F | - E | - D | - C# | D", "D3 | E | D | C | B2 | A | D", ["2:1-2:1 1"]),
        (". A4 | - G | - F | - E | - D | B C# | D", "D3 | E | D | C | B2 | A | D", ["6:1-6:1 1 close"]),
        (". A4 | - G | F E | - F | - D | - C# | D", "D3 | E | D | C | B2 | A | D", []),
        (". A4 | - G | F E | F E | - D | - C# | D", "D3 | E | D | C | B2 | A | D", ["4:1-4:1 1"]),
        (
            ". A4 | - G | F E | - D | E D | - F | E D | - D | - C# | D",
            "D3 | E | D | C | B2 | A | B | G | A | D",
            ["7:1-7:1 1"],
        ),
        (". A4 | B C# | D", "D3 | E | D", ["2:1-2:1 1"]),
    ],
)
def test_ties_are_broken_now_and_then_only(line: str, bass: str, expected: list[str]) -> None:
    assert told("break-species", f"{FOUR} {line} // {bass}") == expected
    assert told("break-species", f"{TWO} {line} // {bass}") == []


def test_how_often_ties_may_be_broken_a_set_may_say() -> None:
    text = (
        f"{FOUR} . A4 | - G | F E | - D | E D | - F | E D | - D | - C# | D // D3 | E | D | C | B2 | A | B | G | A | D"
    )
    assert told("break-species", text, most=3) == []
    assert told("break-species", text, most=1) == ["5:1-5:1 1", "7:1-7:1 1"]


def test_two_of_five_ties_are_dissonant() -> None:
    # five bars between the first and the last, two of them with 7-6
    two = f"{FOUR} . A4 | - F | - G | - C5 | - B | - A | B // D3 | D | F | E | D | C | B2"
    assert told("tie-share", two) == []
    assert told("tie-share", two, percent=41) == ["1:3-7:1 1"]
    one = f"{FOUR} . A4 | - F | - G | - A | - B | - A | B // D3 | D | D | E | F | C | B2"
    assert told("tie-share", one) == ["1:3-7:1 1"]
    short = f"{FOUR} . A4 | - F | - G | - A | B // D3 | D | B2 | E | G"
    assert told("tie-share", short) == []  # three bars decide nothing


def test_a_figure_four_times_running_is_told_with_its_first_and_last() -> None:
    chain = f"{FOUR} . F5 | - E | - D | - C | - B4 | C5 // A3 | G | F | E | D | C"
    assert told("tie-share", chain) == ["2:1-5:1 1 running"]
    assert told("tie-share", chain, running=4) == []
    broken = f"{FOUR} . F5 | - E | - D | - C | - D | C // A3 | G | F | E | A | A"
    assert told("tie-share", broken) == []


# values


@pytest.mark.parametrize(
    ("species", "line", "expected"),
    [
        ("1", "A4 | B G | A | B | G | A | B", ["2:1-2:1 1"]),
        ("2", ". A4 | B G | A B A G | F A | G | B C# | D", ["3:1-3:1 1", "5:1-5:1 1"]),
        ("2", "A4 B G A | B G | A F | F A | G B | B | D", []),  # the first bar and the last two are free
        ("3", "A4 - B C5 | D C B A | G - A B | A B C5 D | C B A G | A | D", ["3:1-3:1 1"]),
        ("4", ". A4 | - G | F E | - D | - F | - C# | D", []),
        ("4", ". A4 | - G | F E D C | - D | - F | - C# | D", ["3:1-3:1 1"]),
        ("4", ". A4 | - G | F | F D | - F | - C# | D", ["3:1-3:1 1"]),
        ("2", ". A4 | B,A G F - | A F | G B | G B | B C# | D", ["2:1-2:1 1"]),
        ("1", "A4 | . G | A | B | G | A | B", ["2:1-2:1 1"]),
    ],
)
def test_a_voice_keeps_to_its_values(species: str, line: str, expected: list[str]) -> None:
    head = f"species: {species}; mode: D dorian; cantus: bass; sing: soprano ::"
    assert told("species-values", f"{head} {line} // D3 | C | D | F | E | E | D") == expected


def test_a_cantus_goes_in_whole_notes_and_may_be_silent() -> None:
    head = "species: 2; mode: D dorian; cantus: bass; sing: soprano ::"
    upper = ". A4 | B G | A F | F A | G B | B C# | D"
    assert told("species-values", f"{head} {upper} // D3 | C | D - | F E | . | E | D") == ["4:1-4:1 2"]


@pytest.mark.parametrize(
    ("species", "bar", "kept"),
    [
        ("1", "A4", True), ("1", "A4 B -", False), ("2", "A4 B C5", True), ("2", "A4 - B", False),
        ("3", "A4,B C5,D C,B", True), ("3", "A4 B C5", False), ("4", "- A4 B", True), ("4", "- - A4", True),
        ("4", "- B -", True), ("4", "A4 B -", True), ("4", "A4 - B", True), ("4", "A4 B C5", True), ("4", "A4", False),
    ],
)  # fmt: skip
def test_values_of_triple_time(species: str, bar: str, kept: bool) -> None:
    head = f"meter: 3/2; species: {species}; mode: D dorian; cantus: bass; sing: soprano ::"
    found = told("species-values", f"{head} A4 | {bar} | A4 | A | A // D3 | C | D | F | E")
    assert ("2:1-2:1 1" in found) is not kept


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("D4 F E D | F E F D | C D E F | G // D3 | D | C | E", ["1:1-1:2 1"]),
        ("D4 E D F | E D C A | B G C E | D // D3 | D | C | D", ["1:3-1:4 1", "3:3-3:4 1"]),
        ("D4 C F E | D E D C | B3 A B C4 | D // D3 | D | G2 | D", []),  # from the second quarter
        ("D4 . F E | D E D C | B3 A B C4 | D // D3 | D | G2 | D", []),
        ("D4 - F E | D - F E | B3 A B C4 | D // D3 | D | G2 | D", []),
        ("D4 F - E | D - F - | A G F E | D // D3 | D | G2 | D", []),
        ("D4 A4 E F | D - F - | A G F E | D // D3 | D | G2 | D", ["1:1-1:2 1"]),
    ],
)
def test_a_leap_up_from_an_accented_quarter(line: str, expected: list[str]) -> None:
    assert told("accented-leap", f"{THREE} {line}") == expected
    assert told("accented-leap", f"{FIVE} {line}") == expected
    assert told("accented-leap", f"{TWO} {line}") == []
