"""Dissonances that are leapt to or left by a leap."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.singable.declare import TWO, Found, Kind
from trainer.singable.part import Part


def _to(part: Part) -> Iterator[Found]:
    for before, after in part.steps():
        clash = part.dissonances.get(after)
        if clash is not None and clash.at == after.on and abs(after.dia - before.dia) > 1:
            yield Found(after, TWO, f"leaps to {after.name} against {_against(part, after)}")


def _from(part: Part) -> Iterator[Found]:
    for before, after in part.steps():
        if before in part.dissonances and abs(after.dia - before.dia) > 1:
            yield Found(after, TWO, f"leaps away from {before.name}, which rubs against {_against(part, before)}")


def _against(part: Part, tone: object) -> str:
    clash = part.dissonances[tone]  # type: ignore[index]
    return " and ".join(f"the {part.name(other.voice)}'s {other.name}" for other in clash.against)


KINDS = (
    Kind(
        id="leap-to-dissonance",
        sentence="A dissonance that is leapt to has neither the step before it nor the chord to tune by.",
        advice="learn the two notes alone, then with the voice they rub against",
        source="common practice, no source; other parts matter: Fine, Berry and Rosner 2006, Psychology of Music 34",
        find=_to,
        bad=("C5 | F E | D // G3 | G | G", "G4 C4 | E // D3 - | C"),
        good=("E5 | D C | B4 // G3 | G | G",),
    ),
    Kind(
        id="leap-from-dissonance",
        sentence="A dissonance wants to go on by step; a leap away from it pulls against the ear.",
        advice="sing the step it wants, then the leap, then leave the step out",
        source="common practice, no source",
        find=_from,
        bad=("C5 B G E | E // A3 - - - | C4",),
        good=("C5 B A C5 | B // A3 - - - | B3",),
    ),
)
