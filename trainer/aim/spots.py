"""Weak spots: intervals, degrees and clashes that a singer wants to meet often, and how often a line has them."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from trainer.grading.kinds.clashes import own
from trainer.grading.kinds.leaps import moves
from trainer.singable.part import Part

INTERVAL, DEGREE, CLASH = "interval", "degree", "clash"

SIZES = {
    "seconds": 1,
    "steps": 1,
    "thirds": 2,
    "fourths": 3,
    "fifths": 4,
    "sixths": 5,
    "sevenths": 6,
    "octaves": 7,
}
WAYS = {"up": 1, "down": -1}
MOST_WEIGHT = 9

_SPOT = re.compile(
    rf"(?:(?P<size>{'|'.join(SIZES)})(?: (?P<way>up|down))?|degree (?P<degree>[1-7])|(?:(?P<figure>\d-\d) )?clashes)"
    r"(?: x ?(?P<weight>\d))?\Z"
)

Key = tuple[str, int | str, int]


@dataclass(frozen=True, slots=True)
class Spot:
    """One weak spot as it was typed: what is counted, and how much each is worth beside the others.

    Parameters
    ----------
    typed : str
    kind : str
        INTERVAL, DEGREE or CLASH.
    what : int or str
        Letters of the interval, degree, or figure ("" for any).
    way : int
        1 up, -1 down, 0 either.
    weight : int
        1 to 9.
    """

    typed: str
    kind: str
    what: int | str
    way: int = 0
    weight: int = 1

    def answers(self, key: Key) -> bool:
        """Whether something counted is of this spot."""
        kind, what, way = key
        return kind == self.kind and self.what in (what, "") and self.way in (way, 0)


def read_spot(typed: str) -> Spot | None:
    """The spot of "sixths up", "degree 7 x3", "clashes" or "7-6 clashes"; None for anything else."""
    match = _SPOT.match(typed)
    if match is None:
        return None
    weight = int(match["weight"] or 1)
    if weight < 1:
        return None
    if match["size"]:
        return Spot(typed, INTERVAL, SIZES[match["size"]], WAYS.get(match["way"] or "", 0), weight)
    if match["degree"]:
        return Spot(typed, DEGREE, int(match["degree"]), 0, weight)
    return Spot(typed, CLASH, match["figure"] or "", 0, weight)


def counted(part: Part) -> Mapping[Key, int]:
    """How often a line has each interval, degree and figure."""
    found: Counter[Key] = Counter()
    for before, after in moves(part):
        letters = after.dia - before.dia
        if letters:
            found[INTERVAL, abs(letters), 1 if letters > 0 else -1] += 1
    for tone in part.line:
        if part.mode is not None:
            found[DEGREE, part.mode.degree(tone), 0] += 1
    for one in own(part):
        found[CLASH, one.figure, 0] += 1
    return found


def often(spot: Spot, found: Mapping[Key, int]) -> int:
    """How often a counted line has a spot."""
    return sum(times for key, times in found.items() if spot.answers(key))
