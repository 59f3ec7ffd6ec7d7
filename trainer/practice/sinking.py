"""What every note sounds under some settings, and what a singer is measured by: the references, sinking where that is asked for."""

from __future__ import annotations

import math
from fractions import Fraction
from itertools import pairwise

from trainer.practice.reference import References, Step, references
from trainer.practice.settings import Settings
from trainer.score.model import Score
from trainer.score.time import TempoMap

CUT_QUARTERS = Fraction(1, 2)
"""A sinking note goes down by steps of so many quarters: a cent or less, which nobody hears as a step."""


def references_under(score: Score, settings: Settings) -> References:
    """By line, then by note, the steps of that note in time order."""
    found = references(score, against=settings.against, a4_offset_c100=settings.a4_offset_c100)
    if not settings.sinking_cents:
        return found
    tempo = score.tempo if settings.tempo_qpm is None else score.tempo.scaled_to(settings.tempo_qpm)
    return tuple(
        tuple(tuple(part for step in steps for part in _sinking(step, tempo, settings)) for steps in line)
        for line in found
    )


def _sinking(step: Step, tempo: TempoMap, settings: Settings) -> list[Step]:
    first = math.floor(step.from_quarters / CUT_QUARTERS) + 1
    last = math.ceil(step.to_quarters / CUT_QUARTERS)
    cuts = [step.from_quarters, *(k * CUT_QUARTERS for k in range(first, last)), step.to_quarters]
    found = []
    for start, end in pairwise(cuts):
        seconds = tempo.seconds((start + end) / 2)
        found.append(Step(start, end, step.pitch_c100 - round(settings.sinking_cents * 100 * seconds / 60)))
    return found
