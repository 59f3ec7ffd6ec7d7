"""What stands in each bar of a line, by kind: the points of paper that are fitted to bars that were sung."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from fractions import Fraction

from trainer.singable.danger import spots_of
from trainer.singable.part import Part
from trainer.singable.weigh import weigh_part
from trainer.singable.weights import ANY_NOTE, ANY_NOTE_POINTS, Points


def danger_points(part: Part) -> dict[int, Points]:
    """By bar, the weight of each kind of danger on paper."""
    return _gathered(
        part, ((spot.index, danger.kind, danger.weight) for spot in spots_of(part) for danger in spot.dangers)
    )


def difficulty_points(part: Part) -> dict[int, Points]:
    """By bar, the points of each kind of difficulty on paper; what makes a note easier is left out."""
    return _gathered(
        part, ((note.index, reason.kind, reason.points) for note in weigh_part(part).notes for reason in note.reasons)
    )


def _gathered(part: Part, found: Iterable[tuple[int, str, Fraction]]) -> dict[int, Points]:
    bars = {tone.place: part.texture.place(tone.on).bar for tone in part.line}
    points: dict[int, dict[str, Fraction]] = {}
    for bar in bars.values():
        of_any = points.setdefault(bar, defaultdict(Fraction))
        of_any[ANY_NOTE] += ANY_NOTE_POINTS
    for index, kind, weight in found:
        if weight > 0:
            points[bars[index]][kind] += weight
    return {bar: dict(told) for bar, told in points.items()}
