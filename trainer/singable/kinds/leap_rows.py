"""Leaps in a row, and wide ones that do not turn back."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from trainer.singable.declare import ONE, TWO, Found, Kind
from trainer.singable.part import Part

WIDE_LETTERS = 5
"""A sixth."""


def _row(part: Part) -> Iterator[Found]:
    running, widest = 0, 0
    for before, after in pairwise(part.line):
        letters = abs(after.dia - before.dia)
        if before.end != after.on or letters < 2:
            running, widest = 0, 0
            continue
        running, widest = running + 1, max(widest, letters)
        # two thirds one after the other spell a chord, and a chord is easily sung
        if running >= 2 and widest >= 3:
            says = f"{'two' if running == 2 else 'three' if running == 3 else running} leaps in a row, to {after.name}"
            yield Found(after, ONE if running == 2 else TWO, says)


def _open(part: Part) -> Iterator[Found]:
    for before, after in part.steps():
        leap = after.dia - before.dia
        following = part.texture.after(after)
        if abs(leap) < WIDE_LETTERS or following is None or following.on != after.end:
            continue
        if (following.dia - after.dia) * leap > 0:
            yield Found(following, ONE, f"goes on the same way after the leap to {after.name}")


KINDS = (
    Kind(
        id="leaps-in-row",
        sentence="After a leap the ear wants a step to settle; another leap comes before it has settled.",
        advice="hold the note between for a moment when you practise; in writing, put a step between the two leaps",
        source="common practice, no source",
        find=_row,
        bad=("C4 | G | D | E", "C4 | F | A | F"),
        good=("C4 | G | F | C5", "C4 | E | G | F"),
    ),
    Kind(
        id="leap-left-open",
        sentence="A wide leap that goes on the same way runs out of voice and out of the chord.",
        advice="think the second note down before you take the first; in writing, turn back by step",
        source="common practice, no source; after a leap of a sixth up 57 to 67 % of inner voices in chorales step back",
        find=_open,
        bad=("C4 | A4 | B4", "C5 | C4 | B3"),
        good=("C4 | A4 | G4", "C5 | C4 | D"),
    ),
)
