"""A finished search as a score: notes with their lengths, and the headers that an exercise carries."""

from __future__ import annotations

from fractions import Fraction

from trainer.compose.beam import notes_of
from trainer.compose.plan import Plan
from trainer.compose.state import State
from trainer.score.model import Key, Line, Note, Score
from trainer.score.time import Meter, TempoMap

EIGHTH = Fraction(1, 2)
BAR_QUARTERS = 4
SLOW_QPM, QUICK_QPM = Fraction(60), Fraction(96)
"""Quarters a minute: lines of halves and whole notes go quicker than lines of quarters (our own)."""


def score_of(plan: Plan, state: State, title: str, facts: tuple[tuple[str, str], ...]) -> Score:
    """The music of *state*."""
    end = BAR_QUARTERS * plan.bars
    lines = []
    for voice, head in zip(plan.voices, state.heads, strict=True):
        notes = notes_of(head)
        ends = [on * EIGHTH for _, on in notes[1:]] + [Fraction(end)]
        lines.append(
            Line(
                voice.name,
                tuple(
                    Note(on * EIGHTH, stop - on * EIGHTH, plan.ground.pitch(pitch))
                    for (pitch, on), stop in zip(notes, ends, strict=True)
                ),
            )
        )
    slow = not set(plan.species) & {"3", "5"}
    mode = plan.ground.mode
    return Score(
        title,
        tuple(lines),
        meters=((Fraction(0), Meter(2, 2) if slow and set(plan.species) & {"2", "4"} else Meter(4, 4)),),
        keys=((Fraction(0), Key(mode.fifths, mode.name)),),
        tempo=TempoMap(((Fraction(0), QUICK_QPM if slow else SLOW_QPM),)),
        facts=facts,
    )
