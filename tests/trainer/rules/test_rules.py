"""Every rule is declared whole, has a line in every shipped set, and its examples are played."""

from __future__ import annotations

import re

import pytest
from written import score

from trainer.rules.checking import check
from trainer.rules.declare import EVERY, Rule
from trainer.rules.finding import Finding
from trainer.rules.registry import all_rules
from trainer.rules.ruleset import SHIPPED, shipped, shipped_text

RULES = all_rules()
every_rule = pytest.mark.parametrize("rule", RULES.values(), ids=lambda rule: rule.id)


def examples(kind: str) -> list[object]:
    return [
        pytest.param(rule, text, id=f"{rule.id}-{number}")
        for rule in RULES.values()
        for number, text in enumerate(getattr(rule, kind), start=1)
    ]


def found(rule: Rule, text: str) -> list[Finding]:
    """What the rule finds under any shipped set; an example without a species is checked free where the rule holds there."""
    species = None if "species:" in text or "free" not in rule.species else "free"
    sets = [shipped(name).only(rule.id) for name in SHIPPED]
    return [finding for one in sets for finding in check(score(text), one, species).findings]


@pytest.mark.parametrize(("rule", "text"), examples("bad"))
def test_a_bad_example_is_found_by_its_rule(rule: Rule, text: str) -> None:
    findings = found(rule, text)
    assert [finding.rule for finding in findings], text
    notes = {str(note.pitch) for line in score(text).lines for note in line.notes}
    for finding in findings:  # an A4 down, beside F3 and B3, would be one more note
        assert set(re.findall(r"\b(?:[PMm]|AA?|dd?)\d+\b", finding.says)) <= notes


@pytest.mark.parametrize(("rule", "text"), examples("good"))
def test_a_good_example_is_not(rule: Rule, text: str) -> None:
    assert [finding.says for finding in found(rule, text)] == []


@every_rule
def test_a_rule_says_all_of_itself(rule: Rule) -> None:
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", rule.id)
    assert rule.sentence.endswith(".")
    assert rule.advice
    assert rule.source
    assert rule.species <= EVERY
    assert rule.bad
    assert rule.good
    assert set(rule.yields_to) <= set(RULES)


@pytest.mark.parametrize("name", SHIPPED)
def test_a_shipped_set_has_a_line_for_every_rule(name: str) -> None:
    rows = shipped(name).rows
    assert {key.partition(":")[0] for key in rows} == set(RULES)


@every_rule
def test_a_rule_is_asked_by_some_set(rule: Rule) -> None:
    assert any(rule.id in shipped(name).asked(parts) for name in SHIPPED for parts in (2, 3, 4))


@pytest.mark.parametrize("name", SHIPPED)
def test_a_table_reads_line_by_line(name: str) -> None:
    for line in shipped_text(name).splitlines():
        assert len(line) <= 180, line
