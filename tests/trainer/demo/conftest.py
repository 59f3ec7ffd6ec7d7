"""The demo's own exercise, typed here a second time so that a slip in either is seen."""

from __future__ import annotations

from fractions import Fraction

import pytest

from trainer.score.model import Line, Note, Score
from trainer.score.pitch import Pitch

LINES = {
    "soprano": "B4 F#4 G#4 A4 G#4 F#4 E4 D4 E4 F#4 F#4",
    "alto": "B3 C#4 E4 F#4 E4 D4 B3 A3 B3 C#4 B3",
    "tenor": "F#3 A3 B3 C#4 B3 F#3 G#3 A3 G#3 F#3 D#3",
    "bass": "B2 A2 G#2 F#2 G#2 B2 G#2 F#2 G#2 A#2 B2",
}


@pytest.fixture(scope="session")
def ferry_bell() -> Score:
    """Ferry Bell at Low Water: eleven bars, one note a bar."""
    return Score(
        "Ferry Bell at Low Water",
        tuple(
            Line(name, tuple(Note(Fraction(4 * k), Fraction(4), Pitch.parse(p)) for k, p in enumerate(names.split())))
            for name, names in LINES.items()
        ),
    )
