"""Which rule a dissonance breaks, in which case; suspensions from preparation to resolution; chains of ties.

Fux 1725 by his figures; Rockstro 1883; Bridge c. 1878, chapters 3, 7, 9, 10, 12; Lehmann, lessons VI, IX and XI; Cherubini 1835, rule 63.
"""

from __future__ import annotations

import pytest
from rule_cases import told
from written import score

from trainer.rules.dissonance import Dissonance
from trainer.rules.piece import Piece
from trainer.rules.registry import all_rules

TWO = "species: 2; mode: D dorian; cantus: bass; sing: soprano ::"
THREE = "species: 3; mode: D dorian; cantus: bass; sing: soprano ::"
FOUR = "species: 4; mode: D dorian; cantus: bass; sing: soprano ::"
FIVE = "species: 5; mode: D dorian; cantus: bass; sing: soprano ::"
ONE = "species: 1; mode: D dorian; cantus: bass; sing: soprano ::"
RULES = [
    "all-consonant",
    "fourth-vs-bass",
    "dissonance-struck",
    "dissonance-weak",
    "dissonance-left-by-leap",
    "cambiata-broken",
    "cambiata",
    "double-neighbour",
    "clash-of-moving",
    "six-four",
    "diminished-root",
    "augmented-triad",
    "seventh-allowed",
]


def breaches(text: str) -> list[str]:
    """Every breach of the rules of dissonances, each with its rule."""
    return [f"{rule} {one}" for rule in RULES if rule in all_rules() for one in told(rule, text)]


def dissonances(text: str) -> list[Dissonance]:
    return list(Piece(score(text)).dissonances)


# what stands there


@pytest.mark.parametrize(
    ("text", "vertical"),
    [
        ("G4 // D4", "fourth"),
        ("G4 // D4 // D3", "fourth"),
        ("B4 // G4 // D4", "six-four"),
        ("B4 // F4", "tritone"),
        ("F5 // B4", "tritone"),
        ("B4 // F4 // D4 // F3", "tritone"),
        ("C5 // G#4 // E4", "augmented"),
        ("C5 // G#4 // E4 // E3", "augmented"),
        ("C5 // G#4 // E3", "augmented"),
        ("F5 // C#5 // A3", "augmented"),
        ("C5 // D4", "second or seventh"),
        ("C5 // A4 // D4", "second or seventh"),
        ("C5 // F4 // D4", "seventh"),
        ("C5 // A4 // F4 // D4", "seventh"),
        ("F4 // D4 // B3 // G3", "seventh"),
        ("E5 // D4", "second or seventh"),
        ("Eb4 // F#3", "second or seventh"),
    ],
)
def test_what_stands_over_the_bass_is_named(text: str, vertical: str) -> None:
    found = dissonances(text)
    assert vertical in {one.vertical for one in found}


def test_a_diminished_fourth_between_upper_voices_clashes_only_there() -> None:
    (one,) = dissonances("F4 // C#4 // A3")
    assert {one.tone.name, *(other.name for other in one.against)} == {"F4", "C#4"}
    assert one.bass.name == "A3"


def test_consonances_are_none() -> None:
    for text in ("D4 // D4", "D5 // D4", "F4 // D4", "F#4 // D4", "A4 // D4", "Bb4 // D4", "B4 // D4", "D6 // D4"):
        assert dissonances(text) == [], text
    for text in ("D5 // A4 // F4", "B4 // F4 // D4", "F5 // B4 // D4", "C5 // F4 // A3"):
        assert dissonances(text) == [], text


def test_a_dissonance_lasts_but_is_told_where_it_begins() -> None:
    found = dissonances("C5 | C - // D4 | C // F3 - F2 - | F")
    assert [(one.at, one.tone.name) for one in found] == [(0, "C5")]


def test_a_clash_laid_bare_by_a_voice_that_stops_is_not_struck() -> None:
    # the fourth over D is one only when the bass below has stopped
    assert dissonances("G4 - - - | F // D4 - - - | D // G3 - . . | D3") == []


def test_what_is_struck_on_the_accent_together_is_the_shorter_ones_fault() -> None:
    (one,) = dissonances("A4 F | G A | C5 // D4 | F4 | E4")
    assert (one.tone.name, [other.name for other in one.against]) == ("G4", ["F4"])
    (lower,) = dissonances("A4 | F4 | E4 // D4 F | G A | C5")
    assert lower.tone.name == "G4"


def test_of_two_of_one_length_the_one_that_clashes_more_is_at_fault_but_not_the_bass() -> None:
    (one,) = dissonances("E5 // D4 // C4")[:1]
    assert one.tone.name == "D4"
    (bass,) = dissonances("E5 // D5 // C5 // D4")[:1]
    assert bass.tone.name != "D4"


def test_a_doubled_suspension_is_one_event() -> None:
    found = dissonances("C4 | B3 | A // A3 | A | C4 // . A2 | - G# | A")
    assert [(one.tone.name, one.shape) for one in found][:1] == [("A2", "suspension")]
    assert "dissonance-struck" not in {one.split()[0] for one in breaches(
        "species: 4; mode: A dorian; cantus: soprano; sing: bass :: C4 | B3 | A // A3 | A | C4 // . A2 | - G# | A"
    )}  # fmt: skip
    # one that does not fall is no suspension that a note could double
    assert "B3" in [one.tone.name for one in dissonances("C4 | B3 | A // A3 | A | C4 // . A2 | - C3 | A2")]


# in which case


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # whole notes
        (f"{ONE} A4 | C5 | B // D4 | D | E", ["all-consonant 2:1-2:1 1,2"]),
        (f"{ONE} A4 | G | A // D4 | D | F", ["fourth-vs-bass 2:1-2:1 1,2"]),
        (f"{ONE} A4 | B | A // D4 | F | F", ["diminished-root 2:1-2:1 1,2"]),
        (f"{ONE} F5 | C#5 | D // A4 | F4 | F", ["all-consonant 2:1-2:1 1,2"]),
        (f"{ONE} A4 | B | C5 // F4 | D | C // D3 | G2 | A", []),
        (f"{ONE} A4 | G | C5 // F4 | B3 | C4 // D3 | D | A", ["six-four 2:1-2:1 1,3"]),
        (f"{ONE} G4 | G | G // C4 | B3 | C4 // E3 | D | C", ["six-four 2:1-2:1 1,3 by-step"]),
        (f"{ONE} A4 | G | A // F4 | B3 | F4 // D3 | D | D", ["six-four 2:1-2:1 1,3 by-step"]),
        (f"{ONE} A4 | F | E // F4 | C# | C // D3 | A3 | A", ["augmented-triad 2:1-2:1 1,2,3"]),
        # on the accent
        (f"{TWO} A4 F | G A | C5 // D4 | F | E", ["dissonance-struck 2:1-2:1 1,2"]),
        (f"{TWO} A4 F | E F | C5 // D4 | F | E // D3 | D | E", ["dissonance-struck 2:1-2:1 1,2,3"]),
        (f"{TWO} A4 C5 | C5 B | A // A3 | D4 | F", ["dissonance-struck 2:1-2:1 1,2 restruck"]),
        # off it
        (f"{TWO} A4 G | F E | D // D4 | D | D", []),
        (f"{TWO} A4 G | A F | D // D4 | F | D", ["dissonance-weak 1:3-1:3 1 neighbour"]),
        (f"{TWO} A4 G | C5 A | D // D4 | F | D", ["dissonance-left-by-leap 1:3-1:3 1"]),
        (f"{TWO} D5 G | A F | D // D4 | F | D", ["dissonance-weak 1:3-1:3 1"]),
        (f"{TWO} D5 G | E C | D // D4 | A3 | D", ["dissonance-weak 1:3-1:3 1"]),
        (f"{THREE} A4 G F E | F // D4 | D", []),
        (f"{THREE} C5 B A G | F // E4 | D", ["dissonance-weak 1:3-1:3 1 accented-passing"]),
        (f"{THREE} E5 D C B | A // E4 | A3", []),
        (
            f"{THREE} F4 E F G | A // C4 | F",
            ["dissonance-struck 1:1-1:1 1,2", "dissonance-weak 1:3-1:3 1 accented-passing"],
        ),
        (f"{THREE} F4 G A G | F // D4 | D", []),
        (f"{THREE} B4 C5 D C | B // E4 | E", ["dissonance-weak 1:3-1:3 1 accented-neighbour"]),
        (f"{THREE} C5 B A B | C // E4 | E", ["dissonance-weak 1:3-1:3 1 accented-neighbour"]),
        (f"{THREE} A4 - - G | G // D4 | E", ["dissonance-weak 1:4-1:4 1 anticipation"]),
        (f"{THREE} A4 F,G F E | D // D4 | D", []),
        (f"{FIVE} A4 G F,G D | E // D4 | C", ["dissonance-left-by-leap 1:3.5-1:3.5 1"]),
        # cambiatas
        (f"{THREE} C5 B G A | B // C4 | G", []),
        (f"{THREE} C5 B G A | F // C4 | D", ["cambiata 1:2-1:3 1 short"]),
        (f"{THREE} C5 B G A | A // C4 | F", ["cambiata 1:2-1:3 1 short"]),
        (f"{THREE} C5 B G E | F // C4 | D", ["cambiata-broken 1:2-1:3 1"]),
        (f"{THREE} E4 F A G | F // C4 | D", ["cambiata-broken 1:2-1:3 1 inverted"]),
        (f"{THREE} A4 B C5 B | G A B C5 | D // C4 | E4 | G", []),
        (f"{THREE} G4 A F G | A // C4 | D", ["double-neighbour 1:3-1:4 1"]),
        (f"{THREE} G4 F A G | F // C4 | D", ["double-neighbour 1:2-1:3 1"]),
        # over a pedal
        (
            "species: 2; mode: C ionian; cantus: bass; sing: soprano :: E5 B4 | D F | E // C4 | - | C",
            [
                "dissonance-struck 2:1-2:1 1,2 pedal",
                "dissonance-weak 1:3-1:3 1 pedal",
                "dissonance-weak 2:3-2:3 1 pedal",
            ],
        ),
    ],
)
def test_a_dissonance_breaks_one_rule(text: str, expected: list[str]) -> None:
    assert breaches(text) == expected


@pytest.mark.parametrize(
    ("bass", "case"),
    [("A3 | C# | D", " close"), ("A3 | C | D", ""), ("A3 | C# | D | D", "")],
)
def test_a_diminished_fifth_over_the_leading_tone_of_the_close(bass: str, case: str) -> None:
    bars = bass.count("|") + 1
    upper = " | ".join(["A4", "G", "F", "F"][:bars])
    middle = " | ".join(["C4", "E4", "A3", "A3"][:bars])
    low = bass.replace("C#", "C#4" if "C#" in bass else "C4").replace("| C |", "| C4 |")
    found = told("diminished-root", f"{ONE} {upper} // {middle} // {low}")
    wanted = [f"2:1-2:1 1,3{case}"] if "C#" in bass else []
    assert found == wanted


def test_a_tie_from_a_dissonance_is_told_by_its_tie() -> None:
    florid = "{} . A4 | G - F - | - E D C | D // D4 | E | F | D"
    assert breaches(florid.format(FIVE)) == []
    assert told("tie-value", florid.format(FIVE)) == ["2:3-3:1 1 from-dissonance"]
    # in the fourth species the weak half is consonant, whatever the tie comes to
    tied = "{} . A4 | - G | - F | E // D4 | F | E | C"
    assert told("tie-value", tied.format(FOUR)) == ["2:3-3:1 1 from-dissonance"]
    assert told("tie-value", tied.format(FOUR).replace("F | E | C", "E | C | C")) == []
