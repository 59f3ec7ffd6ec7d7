"""Fux's own counterpoint is correct under strict16, and where a figure is not clean exactly that is found.

Golden values from outside: the figures (see tests/golden/fux/README.md). A licence that frees a figure is narrow: beside each stands a
plain fault of the same rule that is still forbidden.
"""

from __future__ import annotations

from itertools import pairwise

import pytest
from fux import NOT_CLEAN, figures
from written import score

from trainer.rules.checking import Report, check
from trainer.rules.piece import Piece
from trainer.rules.ruleset import shipped, shipped_text
from trainer.rules.showing import KNOWN_MELODIES

STRICT = shipped("strict16")
CLEAN = sorted(set(figures()) - set(NOT_CLEAN))


def report(name: str) -> Report:
    return check(figures()[name], STRICT)


def test_all_the_figures_are_there() -> None:
    assert len(figures()) == 80
    assert len(CLEAN) == 68


@pytest.mark.parametrize("name", CLEAN)
def test_a_clean_figure_has_no_forbidden_finding(name: str) -> None:
    found = report(name)
    assert [finding.says for finding in found.findings if finding.strictness == "forbidden"] == []
    assert found.correct


@pytest.mark.parametrize("name", NOT_CLEAN)
def test_a_figure_with_a_licence_or_a_slip_has_exactly_what_is_known_of_it(name: str) -> None:
    forbidden = [finding for finding in report(name).findings if finding.strictness == "forbidden"]
    assert sorted((finding.rule, f"{finding.bar}-{finding.to_bar}") for finding in forbidden) == sorted(
        NOT_CLEAN[name][1]
    )


@pytest.mark.parametrize("name", figures())
def test_cantus_and_mode_are_found_without_being_told(name: str) -> None:
    piece = Piece(figures()[name])
    assert piece.cantus is not None
    steps = [after.dia - before.dia for before, after in pairwise(piece.texture.lines[piece.cantus])]
    letters = {known.split()[-1] for line, known in KNOWN_MELODIES.items() if list(line) == steps}
    assert piece.mode is not None
    assert letters in ({piece.mode.final}, set()), name


PLAIN = {
    "all-consonant": "species: 1; cantus: bass; sing: soprano :: A4 | E5 | A4 // F4 | F4 | F4 // D4 | D4 | D4",
    "dissonance-struck": "species: 5; cantus: bass; sing: soprano :: . C5 | C D - E | F // A4 | D4 | D4",
    "dissonance-weak": "species: 5; cantus: soprano; sing: bass :: E5 | E5 | D5 // . C4 | - E F E | D",
    "clash-of-moving": "cantus: bass; sing: alto; species: 3 :: . C5 | B4 D5 | C5 // C4 D E F | G A E F | E // C4 | G3 | C4",
    "diminished-root": "species: 1; cantus: soprano; sing: bass :: E5 | F5 | E5 // C5 | D5 | C5 // A4 | B4 | A4",
    "florid-half-after-quarters": "species: 5; cantus: bass; sing: soprano :: . A4 | G B A - | F - - G | D // D4 | G4 | A3 | D4",
    "susp-prep": "species: 4; cantus: bass; sing: soprano :: . B4 | - A | G // A4 | C4 | E4",
    "susp-chain-perfect": "species: 4; cantus: soprano; sing: bass :: D5 | C5 | B4 | A4 | A4 // . G4 | - F | - E | - D | D",
}
"""The plain fault of every rule of dissonances, suspensions and florid values that a figure has freed in some case."""


@pytest.mark.parametrize("rule", PLAIN)
def test_beside_a_licence_the_plain_fault_is_still_forbidden(rule: str) -> None:
    found = check(score(PLAIN[rule]), STRICT).findings
    assert (rule, "forbidden") in {(finding.rule, finding.strictness) for finding in found}


def test_a_licence_names_its_figure() -> None:
    freed = [
        line for line in shipped_text("strict16").splitlines() if line.partition(" ")[0].partition(":")[0] in PLAIN
    ]
    kept = {name for name in PLAIN if any(line.startswith(f"{name}:") and "Fux" in line for line in freed)}
    assert kept == set(PLAIN)
