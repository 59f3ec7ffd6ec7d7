"""Scores for tests of what sounds. All music is invented for them."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest

from trainer.score.model import Line, Note, Score
from trainer.score.pitch import Pitch
from trainer.score.time import Meter, TempoMap

ScoreMaker = Callable[..., Score]


def make_score(
    *lines: str,
    length: Fraction = Fraction(4),
    meter: Meter = Meter(4, 4),
    pickup: Fraction = Fraction(0),
    qpm: int = 60,
) -> Score:
    """Lines of pitch names, top first, every note of one length; a point is a rest."""
    made = []
    for number, names in enumerate(lines):
        at, notes = Fraction(0), []
        for name in names.split():
            if name != ".":
                notes.append(Note(at, length, Pitch.parse(name)))
            at += length
        made.append(Line(str(number), tuple(notes)))
    return Score(
        "Test",
        tuple(made),
        ((Fraction(0), meter),),
        tempo=TempoMap(((Fraction(0), Fraction(qpm)),)),
        pickup_quarters=pickup,
    )


@pytest.fixture
def score_of() -> ScoreMaker:
    """The maker of scores."""
    return make_score


@pytest.fixture
def four_parts() -> Score:
    """Three bars of four voices; thirds, a fifth and a sixth above the bass, then a seventh."""
    return make_score("B4 G#4 E4", "F#4 E4 D4", "D#4 B3 A3", "B3 E3 F#3")
