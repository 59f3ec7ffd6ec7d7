"""Every planted fault is found where it was planted and nothing else; every lawful twin and ornament is let through.

The vectors lie under ``vectors/``: whole exercises, most of them figures of Fux's (1725), into which hand-written recipes planted one
fault each. A vector's rule and place come from its recipe, never from a checker. It is *about* one event: the recipe says which rule
tells it, and ``SAME_EVENT`` which other rules may tell the same event beside it; anything else forbidden is an error.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from pathlib import Path

import pytest
import second_checker
from fault_vectors import QUARTERS, WORD, Vector, read, scale, written

FOLDER = Path(__file__).parent / "vectors"
SETS = ("strict16", "conservatoire", "tonal")

SAME_EVENT: dict[str, set[str]] = {
    # a leap outside the list of lawful ones has a narrower name when it has one
    "sixth-leap": {"leap-size"},
    "seventh-ninth-leap": {"leap-size"},
    "augmented-leap": {"leap-size"},
    "diminished-leap": {"leap-size"},
    "chromatic-step": {"leap-size"},
    "leap-size": {"diminished-leap"},
    "minor-6-7": {"augmented-leap"},
    # consecutives behind other notes end in a hidden one; unisons in a row stand on accents
    "parallel-strong": {"direct-fifth", "direct-octave"},
    "parallel-3-to-1": {"direct-fifth", "direct-octave", "parallel-strong"},
    "parallel-unison": {"unison-inside"},
    "direct-unison": {"unison-inside"},
    "susp-chain-perfect": {"susp-figure"},
    # a struck dissonance is told by its species, its interval or its chord
    "all-consonant": {"dissonance-struck"},
    "fourth-vs-bass": {"all-consonant", "dissonance-struck"},
    "six-four": {"fourth-vs-bass", "all-consonant"},
    "diminished-root": {"all-consonant", "dissonance-struck", "third-present"},
    "augmented-triad": {"all-consonant", "dissonance-struck"},
    "dissonance-struck": {"fourth-vs-bass", "all-consonant"},
    "seventh-allowed": {
        "all-consonant",
        "dissonance-struck",
        "seventh-prep",
        "seventh-resolution",
        "fourth-vs-bass",
        "seventh-kinds",
    },
    "seventh-inversion": {"seventh-resolution"},
    # a passing shape that breaks off
    "dissonance-weak": {"dissonance-left-by-leap", "cambiata-broken"},
    "dissonance-left-by-leap": {"cambiata-broken"},
    "cambiata-broken": {"dissonance-left-by-leap"},
    "cambiata": {"cambiata-broken", "dissonance-left-by-leap"},
    "double-neighbour": {"dissonance-left-by-leap", "dissonance-weak"},
    "clash-of-moving": {"dissonance-weak", "dissonance-struck", "seventh-allowed", "seventh-prep"},
    # a suspension that does not resolve delays no member of its chord
    "susp-resolve-down": {"ornamented-resolution", "third-present", "chord-complete"},
    "ornamented-resolution": {"susp-resolve-down", "dissonance-weak", "dissonance-left-by-leap"},
    "susp-prep": {"dissonance-weak", "chord-complete"},
    "susp-note-anticipated": {"all-consonant"},
    "double-suspended": {
        "all-consonant",
        "dissonance-struck",
        "fourth-vs-bass",
        "six-four",
        "seventh-allowed",
        "double-tendency",
        "third-present",
    },
    "florid-eighths": {"dissonance-left-by-leap", "florid-values"},
    # ends
    "crossing-at-ends": {"starts-on", "ends-on"},
    "double-tendency": {"parallel-octave", "parallel-unison", "double-third"},
    "ends-on": {"clausula", "leading-tone-goes-up", "picardy"},
    "picardy": {"ends-on"},
    "clausula": {"leading-tone-goes-up", "minor-6-7"},
    "leading-tone-goes-up": {"minor-6-7"},
}

SAME_NAME = {"cambiata": {"cambiata", "cambiata-broken"}}
"""A cambiata upside down is one of its own kind to some, and to others one that breaks off."""

EXACT = {"parallel-fifth", "parallel-octave", "parallel-unison", "antiparallel-fifth", "antiparallel-octave"}
EXACT |= {"direct-fifth", "direct-octave", "direct-unison"}
EXACT |= {"sixth-leap", "seventh-ninth-leap", "augmented-leap", "diminished-leap", "chromatic-step", "leap-size"}
"""Rules whose first and last moment leave no choice."""


@dataclass(frozen=True, slots=True)
class Told:
    """One forbidden finding of whichever checker, voices counted from 1."""

    rule: str
    start: tuple[int, Fraction]
    end: tuple[int, Fraction]
    voices: tuple[int, ...]


def by_program(vector: Vector, lines: tuple[str, ...]) -> list[Told]:
    """What the program's checker forbids. The only place that knows how it is called."""
    from trainer.rules.checking import check_piece
    from trainer.rules.piece import Piece
    from trainer.rules.ruleset import shipped

    report = check_piece(Piece(vector.score(lines), None), shipped(vector.rules))
    return [
        Told(f.rule, (f.bar, f.beat), (f.to_bar, f.to_beat), tuple(v + 1 for v in f.voices))
        for f in report.findings
        if f.strictness == "forbidden"
    ]


def by_second_checker(vector: Vector, lines: tuple[str, ...]) -> list[Told]:
    return [
        Told(f.rule, (f.bar, Fraction(f.beat)), (f.to_bar, Fraction(f.to_beat)), f.voices)
        for f in second_checker.check(vector.piece(lines))
    ]


@cache
def faults() -> tuple[Vector, ...]:
    return tuple(vector for path in sorted((FOLDER / "faults").glob("*.txt")) for vector in read(path))


@cache
def ornaments() -> tuple[Vector, ...]:
    return tuple(vector for path in sorted((FOLDER / "ornaments").glob("*.txt")) for vector in read(path))


def found(vector: Vector, told: Iterable[Told]) -> bool:
    """Whether the planted event is told by its rule, at its place, of its voices."""
    bar, beat, to_bar, to_beat = vector.place
    start, end = (bar, beat), (to_bar, to_beat)
    for one in told:
        if one.rule not in SAME_NAME.get(vector.rule, {vector.rule}):
            continue
        if vector.rule in EXACT and (one.start, one.end) == (start, end) and set(one.voices) == set(vector.voices):
            return True
        touches = one.start <= end and one.end >= start and set(one.voices) & set(vector.voices)
        if vector.rule not in EXACT and touches:
            return True
    return False


def beside(vector: Vector, told: Iterable[Told]) -> list[str]:
    """What is forbidden that the recipe did not plant."""
    allowed = {vector.rule} | SAME_EVENT.get(vector.rule, set())
    return [f"{vector.name}: {one}" for one in told if one.rule not in allowed]


def test_there_are_vectors_of_every_kind() -> None:
    per_rule = Counter((v.rule, v.rules) for v in faults())
    assert len(faults()) >= 400
    assert len(ornaments()) >= 200
    assert {v.parts for v in faults()} == {2, 3, 4}
    assert {v.rules for v in faults()} == set(SETS)
    assert {word for v in faults() for word in v.species} == {"cantus", "1", "2", "3", "4", "5"}
    assert [f"{rule} {rules}: {n}" for (rule, rules), n in per_rule.items() if n < 3] == []


COVERED = {
    "conservatoire": {
        "double-third": "double-tendency",  # where it is forbidden the third is the leading note
        "seventh-prep": "seventh-allowed",
        "seventh-resolution": "seventh-allowed",
    }
}
"""Rules that a shipped set forbids, but whose every event another rule of the set tells better; a changed table lets them speak."""


@pytest.mark.parametrize("rules", SETS)
def test_every_rule_that_a_set_forbids_has_three_vectors(rules: str) -> None:
    from trainer.rules.ruleset import shipped

    rows = shipped(rules).rows
    forbidden = {key.partition(":")[0] for key, row in rows.items() if "F" in row.strictness}
    planted = Counter(v.rule for v in faults() if v.rules == rules)
    assert {rule for rule in forbidden if planted[rule] < 3} == set(COVERED.get(rules, {}))


@pytest.mark.parametrize("rule", ["seventh-prep", "seventh-resolution"])
def test_a_rule_that_another_covers_speaks_where_a_table_leaves_the_other_out(rule: str) -> None:
    from trainer.rules.checking import check_piece
    from trainer.rules.piece import Piece
    from trainer.rules.registry import all_rules
    from trainer.rules.ruleset import parse, shipped_text

    lines = [line for line in shipped_text("conservatoire").splitlines() if not line.startswith("seventh-allowed")]
    mine = parse("\n".join(lines), "mine", all_rules())
    for vector in (v for v in faults() if v.rule == rule and v.rules == "tonal"):
        report = check_piece(Piece(vector.score(vector.lines), None), mine)
        places = {(one.bar, one.beat) for one in report.findings if (one.rule, one.strictness) == (rule, "forbidden")}
        assert vector.place[:2] in places, vector.name


def test_a_vector_reads_as_it_was_written() -> None:
    for vector in (*faults(), *ornaments()):
        (again,) = read_text(written(vector))
        assert again == vector


def read_text(text: str) -> list[Vector]:
    from fault_vectors import parse

    return [parse(block) for block in ("\n" + text).split("\n== ")[1:]]


def test_a_twin_differs_and_both_fill_their_bars() -> None:
    for vector in faults():
        assert vector.twin != vector.lines, vector.name
        for lines in (vector.lines, vector.twin):
            lengths = {sum_of_values(line) for line in lines}
            assert len(lengths) == 1, vector.name
            assert lengths.pop() % 4 == 0, vector.name
            assert len({line.count("|") for line in lines}) == 1, vector.name


def sum_of_values(line: str) -> Fraction:
    """Quarters of a written line, rests among them."""
    words = [WORD.match(word) for word in line.replace("|", " ").split()]
    return sum((QUARTERS[m[2]] * (Fraction(3, 2) if m[3] else 1) for m in words if m is not None), Fraction(0))


def test_modes_spell_their_scales() -> None:
    assert scale("G dorian") == (0, 0, 0, 0, 0, 0, -1)
    assert scale("E aeolian") == (0, 0, 0, 1, 0, 0, 0)
    assert scale("D minor") == (0, 0, 0, 0, 0, 0, -1)


@pytest.mark.parametrize("rules", SETS)
def test_the_second_checker_finds_nineteen_of_twenty_and_nothing_else(rules: str) -> None:
    mine = [v for v in faults() if v.rules == rules]
    missed = [v.name for v in mine if not found(v, by_second_checker(v, v.lines))]
    assert len(missed) <= len(mine) / 20, missed
    assert [line for v in mine for line in beside(v, by_second_checker(v, v.lines))] == []


def test_the_second_checker_is_silent_on_twins_and_ornaments() -> None:
    assert [f"{v.name}: {told}" for v in faults() for told in by_second_checker(v, v.twin)] == []
    assert [f"{v.name}: {told}" for v in ornaments() for told in by_second_checker(v, v.lines)] == []


def test_the_second_checker_finds_sound_figures_of_fux_sound() -> None:
    # J. J. Fux, Gradus ad Parnassum, 1725; transcription CC0 by M. Gotham, FourScoreAndMore.org and J. Wilson
    figures = list(read(FOLDER / "fux.txt"))
    assert len(figures) == 68
    assert [f"{v.name}: {told}" for v in figures for told in by_second_checker(v, v.lines)] == []


def test_our_own_grounds_are_lawful_under_the_rules_they_name() -> None:
    grounds = list(read(FOLDER / "own.txt"))
    assert len(grounds) > 20
    assert [f"{v.name}: {told}" for v in grounds for told in by_second_checker(v, v.lines)] == []


def in_dispute(rules: str) -> set[str]:
    """Names of the vectors of one rule set in which the program differs from the recipe in any way."""
    names = set()
    for vector in faults():
        if vector.rules != rules:
            continue
        told = by_program(vector, vector.lines)
        if not found(vector, told) or beside(vector, told) or by_program(vector, vector.twin):
            names.add(vector.name)
    for vector in ornaments():
        if vector.rules == rules and by_program(vector, vector.lines):
            names.add(vector.name)
    return names


@pytest.mark.parametrize("rules", SETS)
def test_the_program_finds_every_planted_fault_and_nothing_in_twins_and_ornaments(rules: str) -> None:
    assert in_dispute(rules) == set()
