"""Clashes: suspensions held by the singer, suspensions held against the singer, and sevenths of chords."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from trainer.grading.declare import Crux, CruxKind
from trainer.grading.words import bar, bars, count
from trainer.rules.dissonance import NEIGHBOUR, PASSING
from trainer.rules.suspension import Suspension
from trainer.rules.texture import HALF
from trainer.singable.part import Part


def own(part: Part) -> list[Suspension]:
    """The dissonant ties of the line itself."""
    return [one for one in part.piece.suspensions if one.held.voice == part.voice]


def _own(part: Part) -> Iterator[Crux]:
    found = [(one.figure, bar(part.texture, one.at)) for one in own(part)]
    if found:
        yield Crux("clash", _told(found), min(46 + 5 * len(found), 76), len(found))


def _told(found: Sequence[tuple[str, int]]) -> str:
    """One clash, a chain of equal ones bar after bar, or several by their figures."""
    figures = list(dict.fromkeys(figure for figure, _ in found))
    where = [place for _, place in found]
    if len(found) == 1:
        return f"{figures[0]} clash in bar {where[0]}"
    if len(figures) == 1:
        chained = len(found) > 2 and where == list(range(where[0], where[0] + len(where)))
        return f"{'chain of ' if chained else ''}{count(len(found))} {figures[0]} clashes, {bars(where)}"
    each = [f"{figure} in {bars(place for one, place in found if one == figure)}" for figure in figures]
    return f"{count(len(found))} clashes: {', '.join(each)}"


def _against(part: Part) -> Iterator[Crux]:
    found: dict[int, list[Suspension]] = {}
    for one in part.piece.suspensions:
        if one.held.voice != part.voice and any(tone.voice == part.voice for tone in one.against):
            found.setdefault(one.held.voice, []).append(one)
    if found:
        voice = max(found, key=lambda one: (len(found[one]), -one))
        total = sum(len(ones) for ones in found.values())
        where = [bar(part.texture, one.at) for one in found[voice]]
        noun = "a clash" if len(where) == 1 else f"{count(len(where))} clashes"
        says = f"the {part.name(voice)} holds {noun} against you in {bars(where)}"
        yield Crux("clash-against", says, min(38 + 3 * total, 54), total)


def _seventh(part: Part) -> Iterator[Crux]:
    where = [
        bar(part.texture, tone.on)
        for tone, one in part.dissonances.items()
        if one.vertical == "seventh"
        and one.suspension is None
        and one.weight >= HALF
        and one.shape not in (PASSING, NEIGHBOUR)
    ]
    if where:
        yield Crux("seventh", f"the seventh of the chord in {bars(where)}", 50 + 3 * len(where), len(where))


KINDS = (
    CruxKind("clash", ("clash", "suspension"), _own),
    CruxKind("clash-against", ("clash against you",), _against),
    CruxKind("seventh", ("seventh of the chord",), _seventh),
)
