"""Runs that frame a tritone."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from trainer.rules.intervals import name
from trainer.rules.melody.outlines import sweeps
from trainer.singable.declare import ONE, Found, Kind
from trainer.singable.part import Part

AUGMENTED = Fraction(3, 2)


def _outline(part: Part) -> Iterator[Found]:
    for sweep in sweeps(part.line):
        called = name(sweep[0], sweep[-1])
        if len(sweep) > 2 and called in ("A4", "d5"):
            what = "an augmented fourth" if called == "A4" else "a diminished fifth"
            points = AUGMENTED if called == "A4" else ONE
            yield Found(sweep[-1], points, f"the run from {sweep[0].name} ends {what} away, on {sweep[-1].name}")


KINDS = (
    Kind(
        id="tritone-outline",
        sentence="A run that turns a tritone from where it began leaves both ends hanging in the ear, and the last note is mistuned.",
        advice="tune the last note to another voice, not to the run; in writing, go one step further or turn one step earlier",
        source="common practice, no source",
        find=_outline,
        bad=("F4 | G | A | B | A", "B4 | A | G | F | G"),
        good=("F4 | G | A | B | C5", "E4 | F | G | A | G"),
    ),
)
