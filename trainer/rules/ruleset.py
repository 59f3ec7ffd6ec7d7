"""Rule sets: readable tables that say how grave each rule is in two, three and four parts.

A line is ``rule  2 3 4  name=value ...  ; why``: the rule's id, or ``id:case`` for a circumstance that it tells apart, then its
strictness in two, three, and four or more parts (``F`` forbidden, ``A`` to avoid, ``S`` a matter of style, ``-`` not asked), then
parameters where the set differs from the rule's own, then after ``;`` the reason, with the worked example that frees it. A line that
begins with ``#`` is a remark. A user copies a table and changes lines.
"""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources

from trainer.rules.declare import Rule, Settings

SHIPPED = ("strict16", "conservatoire", "tonal")
FORBIDDEN, AVOID, STYLE, OFF = "F", "A", "S", "-"
WORDS = {FORBIDDEN: "forbidden", AVOID: "avoid", STYLE: "style", OFF: "not asked"}


class TableError(ValueError):
    """A table that cannot be read: what is wrong, in which line (0 for the whole), and what to do."""

    def __init__(self, what: str, line: int, do_next: str) -> None:
        """Keep the three parts for whoever tells the user."""
        super().__init__(f"line {line}: {what}; {do_next}")
        self.what, self.line, self.do_next = what, line, do_next


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a table: strictness in 2, 3 and 4 parts, parameters, reason."""

    strictness: tuple[str, str, str]
    parameters: Mapping[str, str]
    why: str


@dataclass(frozen=True, slots=True)
class RuleSet:
    """A named table."""

    name: str
    rows: Mapping[str, Row]

    def strictness(self, rule: str, case: str, parts: int) -> str:
        """F, A, S or - for a rule's case; a case without a line of its own is as the rule is, a rule without one is not asked."""
        row = self.rows.get(f"{rule}:{case}") or self.rows.get(rule)
        return row.strictness[min(max(parts, 2), 4) - 2] if row else OFF

    def asked(self, parts: int) -> set[str]:
        """Ids of the rules that can give a finding."""
        column = min(max(parts, 2), 4) - 2
        return {key.partition(":")[0] for key, row in self.rows.items() if row.strictness[column] != OFF}

    def settings(self, rule: Rule) -> Settings:
        """The rule's parameters, the set's where it has them."""
        row = self.rows.get(rule.id)
        return Settings({**rule.parameters, **(row.parameters if row else {})})

    def only(self, *rules: str) -> RuleSet:
        """The same set with all other rules left out."""
        return RuleSet(self.name, {key: row for key, row in self.rows.items() if key.partition(":")[0] in rules})


def parse(text: str, name: str, rules: Mapping[str, Rule]) -> RuleSet:
    """The set written *text*. Raises TableError."""
    rows: dict[str, Row] = {}
    for number, line in enumerate(text.splitlines(), start=1):
        told, _, why = line.partition(";")
        words = told.split()
        if not words or words[0].startswith("#"):
            continue
        _known(words[0], rules, number)
        if words[0] in rows:
            raise TableError(f"{words[0]} stands here a second time", number, "keep one of the two lines")
        grades, rest = words[1:4], words[4:]
        if len(grades) < 3 or any(grade not in WORDS for grade in grades):
            raise TableError(
                f"{words[0]} needs three grades", number, "give F, A, S or - for two, three and four parts, as in F F A"
            )
        rows[words[0]] = Row(
            (grades[0], grades[1], grades[2]), _parameters(rest, rules[words[0].partition(":")[0]], number), why.strip()
        )
    return RuleSet(name, rows)


def _known(key: str, rules: Mapping[str, Rule], number: int) -> None:
    rule, colon, case = key.partition(":")
    if rule not in rules:
        near = difflib.get_close_matches(rule, rules, 3)
        raise TableError(
            f"there is no rule {rule!r}",
            number,
            f"perhaps {' or '.join(near)}" if near else "the listing shows them all",
        )
    if colon and case not in rules[rule].cases:
        cases = ", ".join(rules[rule].cases) or "none"
        raise TableError(f"{rule} has no case {case!r}", number, f"its cases: {cases}")


def _parameters(words: list[str], rule: Rule, number: int) -> dict[str, str]:
    found = {}
    for word in words:
        name, equals, value = word.partition("=")
        if not equals or name not in rule.parameters:
            known = ", ".join(rule.parameters) or "none"
            raise TableError(f"{rule.id} has no parameter {word!r}", number, f"its parameters: {known}")
        if rule.parameters[name].lstrip("-").isdecimal() and not value.lstrip("-").isdecimal():
            raise TableError(f"{name} of {rule.id} is a whole number, not {value!r}", number, f"as in {name}=3")
        found[name] = value
    return found


def shipped_text(name: str) -> str:
    """The table of a shipped set as it lies in the package."""
    return resources.files("trainer.rules").joinpath("sets", f"{name}.rules").read_text(encoding="utf-8")


@cache
def shipped(name: str) -> RuleSet:
    """A shipped set. Raises KeyError for another name."""
    from trainer.rules.registry import all_rules

    if name not in SHIPPED:
        raise KeyError(name)
    return parse(shipped_text(name), name, all_rules())
