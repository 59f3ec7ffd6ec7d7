"""Every rule with its sentence and how grave each rule set takes it."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from typing import Any

from trainer.reports.checked import LIST_SCHEMA
from trainer.rules.declare import Rule
from trainer.rules.ruleset import WORDS, RuleSet

_ORDER = "FAS-"
GRADES_FROM, WORDS_FROM = 32, 8
"""Columns."""


def list_to_json(rules: Mapping[str, Rule], sets: Sequence[RuleSet]) -> dict[str, Any]:
    """Id, sentence, advice, source, and per set the gravest strictness, by parts, and by case."""
    return {
        "schema": LIST_SCHEMA,
        "rules": [
            {
                "id": rule.id,
                "sentence": rule.sentence,
                "advice": rule.advice,
                "source": rule.source,
                "cases": dict(rule.cases),
                "strictness": {one.name: WORDS[_gravest(one, rule)] for one in sets},
                "by_parts": {one.name: _by_parts(one, rule, "") for one in sets},
                "by_case": {one.name: {case: _by_parts(one, rule, case) for case in rule.cases} for one in sets},
            }
            for rule in rules.values()
        ],
    }


def list_as_text(rules: Mapping[str, Rule], sets: Sequence[RuleSet], *, width: int = 80) -> str:
    """One rule in a line or two: id, grades by set in two, three and four parts, sentence; where these do not fit, the id stands alone."""
    under = ", ".join(one.name for one in sets)
    lines = textwrap.wrap(
        f"F forbidden, A to avoid, S style, - not asked; in two, three and four parts, under {under}.", width
    )
    for rule in rules.values():
        lines.append("")
        lines += _graded(rule.id, _row(rule, sets, ""), width)
        lines += textwrap.wrap(rule.sentence, width, initial_indent="    ", subsequent_indent="    ")
        for case, words in rule.cases.items():
            lines += _graded(f"      {case}", _row(rule, sets, case), width, words)
    return "\n".join(lines)


def _graded(name: str, row: str, width: int, words: str = "") -> list[str]:
    line = f"{name:<{GRADES_FROM}}{row}"
    if len(line) > width:
        told = [name, f"{' ' * WORDS_FROM}{row}"]
    elif words and len(line) + 2 + len(words) <= width:
        return [f"{line}  {words}"]
    else:
        told = [line]
    indent = " " * WORDS_FROM
    return told + textwrap.wrap(words, width, initial_indent=indent, subsequent_indent=indent)


def _row(rule: Rule, sets: Sequence[RuleSet], case: str) -> str:
    return "   ".join(" ".join(one.strictness(rule.id, case, parts) for parts in (2, 3, 4)) for one in sets)


def _gravest(rules: RuleSet, rule: Rule) -> str:
    grades = [rules.strictness(rule.id, case, parts) for case in ("", *rule.cases) for parts in (2, 3, 4)]
    return min(grades, key=_ORDER.index)


def _by_parts(rules: RuleSet, rule: Rule, case: str) -> dict[str, str]:
    return {str(parts): WORDS[rules.strictness(rule.id, case, parts)] for parts in (2, 3, 4)}
