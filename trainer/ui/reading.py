"""The look-through: each own note as it is called, danger spots marked. Pure; standard library only."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from trainer.judge.clash import clashes
from trainer.practice.plan import make_plan
from trainer.practice.settings import Settings
from trainer.reports.wording import begun
from trainer.score.model import Score
from trainer.score.naming import Names, called, sentence
from trainer.singable.danger import Spot, danger_spots
from trainer.singable.weights import PAPER, Weights

ALWAYS_TOLD = frozenset({"shared", "cue", "entry", "leap"})
"""Dangers that are told wherever they stand; the others only at the marked notes, so that what is told can be remembered."""

MARK, MOST_TOLD = "*", 2


def banner_words(score: Score) -> str:
    """The first words of what is said of a score that is not correct, or that nobody checked; "" for a correct one."""
    return score.fact("banner").partition(";")[0]


@dataclass(frozen=True, slots=True)
class Step:
    """One own note as it is read.

    Parameters
    ----------
    bar : int
    beat : Fraction
    called : str
    length_beats : Fraction
    clash : str
        "" or the figure against the bass, such as "7-6".
    dangers : tuple of str
        What to look out for, the heaviest first, such as "up a 5th".
    marked : bool
        It is one of the notes at which a slip is likeliest.
    breath_after : bool
    """

    bar: int
    beat: Fraction
    called: str
    length_beats: Fraction
    clash: str = ""
    dangers: tuple[str, ...] = ()
    marked: bool = False
    breath_after: bool = False


@lru_cache(maxsize=8)  # a screen asks again with every drawing
def steps(score: Score, line_index: int, names: Names, weights: Weights = PAPER) -> tuple[Step, ...]:
    """Every own note in order, likely slips marked by *weights*."""
    plan = make_plan(score, (line_index,), Settings())
    line = plan.lines[0]
    figures = {clash.target: clash.figure for clash in clashes(score, plan.bars, line_index, line.targets)}
    spots = {spot.onset_quarters: spot for spot in danger_spots(score, line_index, weights)}
    found = []
    for target in line.targets:
        if target.pitch is None:
            continue
        spot = spots[target.onset_quarters]
        found.append(
            Step(
                target.place.bar,
                target.place.beat,
                called(score, target.pitch, names),
                target.length_beats,
                figures.get(target.index, ""),
                tuple(sentence(told, names) for told in _told(spot)),
                spot.marked,
                target.breath_after,
            )
        )
    return tuple(found)


def _told(spot: Spot) -> tuple[str, ...]:
    """The heaviest dangers of a marked note, and what is told of any."""
    heaviest = spot.dangers[:MOST_TOLD] if spot.marked else ()
    told = (one.words for one in spot.dangers if one in heaviest or one.kind in ALWAYS_TOLD)
    return tuple(dict.fromkeys(told))


def seen(step: Step) -> str:
    """A note as it stands in the row: what it is called, with a mark where a slip is likely."""
    return f"{step.called}{MARK}" if step.marked else step.called


def reading_lines(score: Score, line_index: int, names: Names, weights: Weights = PAPER) -> list[str]:
    """The line for a reader of lines: one line a bar, label first."""
    by_bar: dict[int, list[str]] = {}
    for step in steps(score, line_index, names, weights):
        by_bar.setdefault(step.bar, []).append(", ".join([step.called, *flags(step)]))
    return [f"{begun(score.bars().named(bar))}: {'; '.join(told)}" for bar, told in by_bar.items()]


def flags(step: Step) -> list[str]:
    """What is to be known before it is sung."""
    told = [f"clash {step.clash}"] if step.clash else []
    told += step.dangers
    if step.breath_after:
        told.append("breath after")
    return told
