"""Where the program and the second checker once read the sources differently, both tell the same now.

Each case has a faulty fragment and one that differs from it by what makes it lawful. Sources stand beside them.
"""

from __future__ import annotations

import pytest
from second_opinion import second_opinion

from trainer.formats.drill import read
from trainer.rules.checking import check
from trainer.rules.ruleset import shipped
from trainer.score.model import Score

TWO = "title: x\nmeter: 4/4\nmode: {mode}\nspecies: {species}\nrules: {rules}\ncantus: bass\nline: soprano\n\n"


def score_of(mode: str, species: str, rules: str, *lines: str) -> Score:
    names = ("soprano", "bass") if len(lines) == 2 else ("soprano", "alto", "tenor", "bass")
    head = TWO.format(mode=mode, species=species, rules=rules)
    return read((head + "".join(f"{a} | {b} |\n" for a, b in zip(names, lines, strict=True))).encode(), "x.drill")


def both(score: Score, rule: str) -> tuple[bool, bool]:
    """Whether the program, and the second checker, forbid something by *rule*."""
    report = check(score, shipped(score.fact("rules")))
    first = any(one.rule == rule and one.strictness == "forbidden" for one in report.findings)
    return first, any(one.rule == rule for one in second_opinion(score))


CASES = {
    # Fux 1725 has an octave divided downwards in the bass only (figs 116, 122, 154); Jeppesen: the larger part lies below, going up
    "an octave divided downwards": (
        "two-leaps-same-way",
        ("D dorian", "1", "strict16", "D5 | A4 | D4 | E | D", "D3 | F | B2 | C# | D"),
        ("D dorian", "1", "strict16", "D4 | A4 | D5 | C# | D", "D3 | F | B3 | E | D"),
    ),
    # a voice does not strike a note twice: only the fifth species may leave out a tie (Rockstro 1883; Fux, fig. 86a)
    "a note struck again before its tie": (
        "repeated-note",
        ("D dorian", "5", "conservatoire", ". . A4 F | E D C E | F F | - E D E | - C# | D", "D3 | C | A2 | D | E | D"),
        ("D dorian", "5", "conservatoire", ". . A4 F | E D C E | D F | - E D E | - C# | D", "D3 | C | A2 | D | E | D"),
    ),
    # the raised sixth lies between the fifth and the raised seventh, going up (Gallon and Bitsch 1964, as cited in a course page)
    "a raised sixth from the natural seventh": (
        "minor-6-7",
        ("A minor", "1", "tonal", "A4 | G | F# | G# | A", "A3 | B | A | B | A"),
        ("A minor", "1", "tonal", "A4 | E | F# | G# | A", "A3 | C | A | B | A"),
    ),
    # discords delay concords (Cherubini 1835), which two sixths held over do not: 9-8 9-8 is octaves, 6-5 6-5 is two fifths off the beat
    "ties over sixths": (
        "susp-chain-perfect",
        ("D dorian", "4", "conservatoire", ". E5 | - D | - C | C5", "E4 | D4 | C4 | A3"),
        ("D dorian", "4", "conservatoire", ". F4 | - E | - D | D4", "D3 | A3 | G3 | F3"),
    ),
    # two neighbours lie between an accented note and the same note (a university's workbook): here they set out on a fourth quarter
    "two neighbours over the bar line": (
        "dissonance-weak",
        ("C aeolian", "3", "conservatoire", "C5 G4 Eb5 D | Eb C D Eb | D F Eb D | C", "C3 | C | G | C"),
        ("C aeolian", "3", "conservatoire", "C5 G4 Eb5 D | Eb C D Eb | D Bb4 Eb5 D | C", "C3 | C | G | C"),
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_both_checkers_forbid_the_fault_and_neither_its_lawful_twin(name: str) -> None:
    rule, faulty, lawful = CASES[name]
    assert both(score_of(*faulty), rule) == (True, True)
    assert both(score_of(*lawful), rule) == (False, False)


# a cantus in the soprano; the seventh of the last chord but two lies in it and is leapt to (Lehmann, lesson XII)
LEAPT_SEVENTH = (
    "Eb4 | G  | Eb5 | D  | Bb | A | F  | Eb",
    "Bb3 | C  | Eb  | F  | G  | F | D  | Eb",
    "G3  | G  | G   | Bb | D  | C | Bb | Bb",
    "Eb3 | Eb | C   | Bb | G  | A | G  | Eb3",
)


def test_a_seventh_that_the_cantus_leaps_to_is_the_fault_of_the_chord_under_it() -> None:
    text = TWO.format(mode="Eb lydian", species="1", rules="tonal").replace("cantus: bass", "cantus: soprano")
    names = ("soprano", "alto", "tenor", "bass")
    lines = "".join(f"{a} | {b} |\n" for a, b in zip(names, LEAPT_SEVENTH, strict=True))
    score = read((text.replace("line: soprano", "line: bass") + lines).encode(), "x.drill")
    assert both(score, "seventh-prep") == (True, True)
