"""The check itself: a score, a rule set and a species to a report."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from trainer.rules.finding import Finding, Graded, as_finding, one_an_event, ranked
from trainer.rules.piece import Piece
from trainer.rules.registry import all_rules
from trainer.rules.ruleset import OFF, STYLE, RuleSet
from trainer.score.model import Score


@dataclass(frozen=True, slots=True)
class Report:
    """What a check found. ``species`` is by voice, top first; ``findings`` are ranked, the gravest first."""

    title: str
    rules: str
    parts: int
    species: tuple[str, ...]
    findings: tuple[Finding, ...]

    @property
    def correct(self) -> bool:
        """No forbidden finding."""
        return not any(finding.strictness == "forbidden" for finding in self.findings)


def check(score: Score, rule_set: RuleSet, species: str | Mapping[int, str] | None = None) -> Report:
    """Every finding of *rule_set* in *score*.

    Parameters
    ----------
    species : str, mapping of voice to str, or None
        "free" asks only the rules that concern any voices; "1" to "5" is the moving voice's; a mapping says it for each voice; None
        takes what the file says or what its rhythms show.
    """
    return check_piece(Piece(score, species), rule_set)


def check_piece(piece: Piece, rule_set: RuleSet) -> Report:
    """As :func:`check`, for a score already made ready."""
    there = set(piece.species)
    asked = rule_set.asked(piece.parts)
    graded = []
    for rule in all_rules().values():
        if rule.id not in asked or not there & rule.species:
            continue
        for fault in rule.find(piece, rule_set.settings(rule)):
            grade = rule_set.strictness(rule.id, fault.case, piece.parts)
            # the cantus is given: what it does by itself is nobody's fault
            if grade != OFF and fault.voices == (piece.cantus,):
                grade = STYLE
            if grade != OFF:
                graded.append(Graded(rule, fault, grade))
    kept = ranked(one_an_event(graded, piece.texture))
    findings = tuple(as_finding(one, piece.texture) for one in kept)
    return Report(piece.score.title, rule_set.name, piece.parts, piece.species, findings)
