"""Scores that no exercise looks like are checked all the same, under every set and species."""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from trainer.rules.checking import check
from trainer.rules.ruleset import SHIPPED, shipped
from trainer.score.model import Line, Note, Score
from trainer.score.pitch import Pitch
from trainer.score.time import Meter

SPECIES = (None, "free", "1", "2", "3", "4", "5", "combined")


def line(*notes: tuple[str, F, F]) -> Line:
    return Line("", tuple(Note(at, long, Pitch.parse(name)) for name, at, long in notes))


SCALE = line(*((name, F(4 * k), F(4)) for k, name in enumerate(("D4", "E4", "F4", "E4", "D4"))))
EMPTY = line()
LATE = line(("A4", F(18), F(2)))
TRIPLETS = line(*((name, F(2 * k, 3), F(2, 3)) for k, name in enumerate(("A4", "B4", "C5", "B4", "A4", "G#4", "A4"))))
STRANGE = {
    "one voice": Score("x", (SCALE,)),
    "one note": Score("x", (line(("D4", F(0), F(1))), line(("D3", F(0), F(1))))),
    "a voice that never sings": Score("x", (SCALE, EMPTY)),
    "nobody sings": Score("x", (EMPTY, EMPTY)),
    "never together": Score("x", (LATE, line(("D3", F(0), F(4))))),
    "triplets": Score("x", (TRIPLETS, SCALE)),
    "seven eighths": Score("x", (SCALE, SCALE, TRIPLETS), meters=((F(0), Meter(7, 8)),)),
    "a pickup": Score("x", (SCALE, TRIPLETS), pickup_quarters=F(1)),
    "eight voices": Score("x", (TRIPLETS, SCALE, LATE, EMPTY, SCALE, SCALE, TRIPLETS, SCALE)),
}


@pytest.mark.parametrize("name", STRANGE)
def test_a_strange_score_is_checked_without_a_stumble(name: str) -> None:
    for rules in SHIPPED:
        for species in SPECIES:
            report = check(STRANGE[name], shipped(rules), species)
            assert report.parts == len(STRANGE[name].lines)
            assert all(one.says and one.bar >= 0 for one in report.findings)
