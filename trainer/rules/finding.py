"""Findings, their rank, and one finding for one event."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.rules.declare import Fault, Rule
from trainer.rules.ruleset import WORDS
from trainer.rules.texture import Texture

_RANK = {"F": 0, "A": 1, "S": 2}


@dataclass(frozen=True, slots=True)
class Finding:
    """One broken rule at one place.

    ``bar`` and ``beat`` say where it begins, ``to_bar`` and ``to_beat`` where it is done (the same for one moment). ``voices`` are
    numbers from 0, top first; ``notes`` are scientific names in time order, voice by voice.
    """

    rule: str
    case: str
    strictness: str
    bar: int
    beat: Fraction
    to_bar: int
    to_beat: Fraction
    voices: tuple[int, ...]
    notes: tuple[str, ...]
    says: str
    advice: str
    source: str
    at_tick: int
    to_tick: int


@dataclass(frozen=True, slots=True)
class Graded:
    """A fault with its rule and the grade (F, A, S) that the rule set gives it."""

    rule: Rule
    fault: Fault
    grade: str

    def same_event(self, other: Graded) -> bool:
        """Whether both tell of the same voices at the same moment, and one rule names the other as telling it better."""
        if self.rule.id not in other.rule.yields_to and other.rule.id not in self.rule.yields_to:
            return False
        if self.fault.at > other.fault.to or other.fault.at > self.fault.to:
            return False
        mine, theirs = set(self.fault.voices), set(other.fault.voices)
        return mine <= theirs or theirs <= mine

    def gives_way_to(self, other: Graded) -> bool:
        """Whether the other is the one to keep: graver, or as grave and named by this rule."""
        mine, theirs = _RANK[self.grade], _RANK[other.grade]
        return theirs < mine or (theirs == mine and other.rule.id in self.rule.yields_to)


def one_an_event(graded: list[Graded], texture: Texture) -> list[Graded]:
    """The graver, or better told, of any that tell the same event."""
    rivals: dict[str, set[str]] = {one.rule.id: set() for one in graded}
    for one in graded:
        for better in one.rule.yields_to:
            if better in rivals:
                rivals[one.rule.id].add(better)
                rivals[better].add(one.rule.id)
    # faults of one event share a bar, so each is held against those of its own bars only
    by_bar: dict[tuple[str, int], list[Graded]] = {}
    for one in graded:
        if rivals[one.rule.id]:
            for bar in _bars(one, texture):
                by_bar.setdefault((one.rule.id, bar), []).append(one)
    return [one for one in graded if not _outdone(one, rivals[one.rule.id], by_bar, texture)]


def _bars(one: Graded, texture: Texture) -> range:
    return range(texture.bar_index(one.fault.at), texture.bar_index(one.fault.to) + 1)


def _outdone(one: Graded, rivals: set[str], by_bar: dict[tuple[str, int], list[Graded]], texture: Texture) -> bool:
    return any(
        one.gives_way_to(other) and one.same_event(other)
        for rule in rivals
        for bar in _bars(one, texture)
        for other in by_bar.get((rule, bar), ())
    )


def as_finding(one: Graded, texture: Texture) -> Finding:
    """Ticks back to bars and beats, tones to names."""
    fault = one.fault
    at, to = texture.place(fault.at), texture.place(fault.to)
    return Finding(
        one.rule.id,
        fault.case,
        WORDS[one.grade],
        at.bar,
        at.beat,
        to.bar,
        to.beat,
        fault.voices,
        tuple(tone.name for tone in fault.tones),
        fault.says,
        fault.advice or one.rule.advice,
        one.rule.source,
        fault.at,
        fault.to,
    )


def ranked(graded: list[Graded]) -> list[Graded]:
    """Forbidden first, then to avoid, then style; within these by place and voice."""
    return sorted(graded, key=lambda one: (_RANK[one.grade], one.fault.to, one.fault.at, one.fault.voices, one.rule.id))
