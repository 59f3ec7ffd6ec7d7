"""Every rule with its sentence and how grave each rule set takes it."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from typing import Any

from trainer.reports.checked import LIST_SCHEMA
from trainer.rules.declare import Rule
from trainer.rules.ruleset import WORDS, RuleSet

_ORDER = "FAS-"


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
    """One rule in a line or two: id, grades by set in two, three and four parts, sentence."""
    lines = [
        f"F forbidden, A to avoid, S style, - not asked; in two, three and four parts, under {', '.join(one.name for one in sets)}."
    ]
    for rule in rules.values():
        lines.append("")
        lines.append(f"{rule.id:<32}{_row(rule, sets, '')}")
        lines += textwrap.wrap(rule.sentence, width, initial_indent="    ", subsequent_indent="    ")
        for case, words in rule.cases.items():
            lines.append(f"    {'  ' + case:<28}{_row(rule, sets, case)}  {words}")
    return "\n".join(lines)


def _row(rule: Rule, sets: Sequence[RuleSet], case: str) -> str:
    return "   ".join(" ".join(one.strictness(rule.id, case, parts) for parts in (2, 3, 4)) for one in sets)


def _gravest(rules: RuleSet, rule: Rule) -> str:
    grades = [rules.strictness(rule.id, case, parts) for case in ("", *rule.cases) for parts in (2, 3, 4)]
    return min(grades, key=_ORDER.index)


def _by_parts(rules: RuleSet, rule: Rule, case: str) -> dict[str, str]:
    return {str(parts): WORDS[rules.strictness(rule.id, case, parts)] for parts in (2, 3, 4)}
