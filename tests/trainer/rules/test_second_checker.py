"""The second checker stands alone and knows the plain faults of the old treatises."""

from __future__ import annotations

import ast
from fractions import Fraction
from pathlib import Path

import pytest
import second_checker
from second_checker import Piece, check

FOLDER = Path(second_checker.__file__).parent
OWN = {"second_checker", "__future__", "re", "collections", "dataclasses", "fractions", "functools", "itertools"}


def test_the_second_checker_imports_nothing_of_the_program() -> None:
    modules = list(FOLDER.glob("*.py"))
    assert len(modules) > 5
    for path in modules:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = []
            if isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom):
                assert node.level == 0
                names = [node.module or ""]
            assert {name.split(".")[0] for name in names} <= OWN, path.name


def line(text: str) -> list[tuple[Fraction, Fraction, str]]:
    """Notes such as ``A4/2``: a length in quarters, four when it is left out; ``r`` rests."""
    notes, at = [], Fraction(0)
    for word in text.split():
        name, _, long = word.partition("/")
        length = Fraction(long or "4")
        if name != "r":
            notes.append((at, length, name))
        at += length
    return notes


def rules_found(
    upper: str, lower: str, *, species: tuple[str, str] = ("1", "cantus"), rules: str = "strict16"
) -> set[str]:
    piece = Piece((line(upper), line(lower)), species, rules, "D", whole=False)
    return {finding.rule for finding in check(piece)} - {"starts-on"}


# fragments after rules stated by Rockstro 1883, Cherubini 1835, Bridge c. 1878 and Lehmann; music of our own
PLAIN_FAULTS = [
    ("A4 B4", "D4 E4", ("1", "cantus"), "parallel-fifth"),
    ("D5 E5", "D4 E4", ("1", "cantus"), "parallel-octave"),
    ("D4 E4", "D4 E4", ("1", "cantus"), "parallel-unison"),
    ("A4 E5", "D4 A3", ("1", "cantus"), "antiparallel-fifth"),
    ("E4 A4", "C4 D4", ("1", "cantus"), "direct-fifth"),
    ("E4 A4", "G3 A3", ("1", "cantus"), "direct-octave"),
    ("r/2 E5/4 D5/4 C5/2 C5", "E4 D4 C4 C4", ("4", "cantus"), "susp-chain-perfect"),
    ("r/2 C5/4 D5/2 E5", "A4 D4 C4", ("4", "cantus"), "susp-resolve-down"),
    ("A4/2 G4/2 E4", "F4 A3", ("2", "cantus"), "dissonance-left-by-leap"),
    ("F4 B4", "D4 G4", ("1", "cantus"), "augmented-leap"),
    ("C4 A4", "A3 F3", ("1", "cantus"), "sixth-leap"),
    ("A4/1 B4/1 C5/1 D5/1 C5/1 B4/1 A4/1 B4/1 C5", "F3 C4/2 A3/2 E4", ("3", "2"), "parallel-3-to-1"),
    ("F4 G4 A4 B4 A4", "D4 E4 F4 G4 F4", ("1", "cantus"), "tritone-outline"),
]


@pytest.mark.parametrize(("upper", "lower", "species", "rule"), PLAIN_FAULTS, ids=[case[3] for case in PLAIN_FAULTS])
def test_plain_faults_are_named(upper: str, lower: str, species: tuple[str, str], rule: str) -> None:
    assert rule in rules_found(upper, lower, species=species)


def test_a_chain_of_thirds_and_sixths_in_contrary_motion_is_clean() -> None:
    assert rules_found("F4 G4 A4 G4 A4", "D4 E4 C4 E4 F4") == set()


def test_a_note_too_fine_for_its_clock_is_refused() -> None:
    piece = Piece([[(Fraction(1, 3), Fraction(1, 3), "D4")]], ("1",), "strict16", "D")
    with pytest.raises(ValueError, match="finer"):
        check(piece)
