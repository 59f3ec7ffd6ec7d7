"""When a line comes back: after 1, 2, 4, 8, 16 and 32 days, a failed review on the next day again.

Days and not minutes: a night between gave the gain, five minutes and six hours did not (Simmons 2012). Doubling is our own; the best
gap grows with how long something is to last (Cepeda and others 2008). No scheduling library: those that are kept are fitted to
flash cards, count in minutes on the first day, and would put a model of memory where one line of arithmetic does.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby

from trainer.log.history import LineTaken
from trainer.log.outcome import CHORDS

AFTER_DAYS = (1, 2, 4, 8, 16, 32)
IN_COMPANY = ("all", "unknown")
"""Company in which a whole take counts: a recording that says nothing was made against the other voices."""


@dataclass(frozen=True, slots=True)
class Standing:
    """How one line stands.

    Parameters
    ----------
    exercise, line : int
    voice : str
    step : int or None
        Place in ``AFTER_DAYS``; None while it is being learnt.
    first, last : date
        On which days it was sung.
    due : date
        When it comes back.
    """

    exercise: int
    line: int
    voice: str
    step: int | None
    first: date
    last: date
    due: date

    @property
    def learnt(self) -> bool:
        """Whether it was held once, whole and in company."""
        return self.step is not None


def counts(one: LineTaken) -> bool:
    """Whether a take shows that the line is held or not: whole, in full company, without the guide."""
    return one.part == "whole" and one.company in IN_COMPANY and one.guide == "off" and one.mark != "nothing"


def standings(taken: Sequence[LineTaken], days: Sequence[date]) -> list[Standing]:
    """Every line that was ever sung, by exercise and line; chords held by themselves are no line."""
    rows = sorted(
        (
            (one.exercise, one.line, day, one.number, one)
            for one, day in zip(taken, days, strict=True)
            if one.part != CHORDS
        ),
        key=lambda row: row[:4],
    )
    found = []
    for (exercise, line), mine in groupby(rows, key=lambda row: row[:2]):
        found.append(_standing(exercise, line, [(day, one) for _, _, day, _, one in mine]))
    return found


def _standing(exercise: int, line: int, taken: Sequence[tuple[date, LineTaken]]) -> Standing:
    step: int | None = None
    due = first = last = taken[0][0]
    for day, mine in groupby(taken, key=lambda row: row[0]):
        last = day
        passed = _passed(one for _, one in mine)
        if step is None:
            step, due = (0, day + timedelta(days=1)) if passed == "clean" else (None, day + timedelta(days=1))
        elif passed == "failed":
            step, due = 0, day + timedelta(days=1)
        elif passed == "clean" and day >= due:
            step = min(step + 1, len(AFTER_DAYS) - 1)
            due = day + timedelta(days=AFTER_DAYS[step])
    return Standing(exercise, line, taken[-1][1].voice, step, first, last, due)


def _passed(taken: Iterable[LineTaken]) -> str:
    """What a day's takes show: "clean", "failed", or nothing where none of them counts."""
    marks = [one.mark for one in taken if counts(one)]
    return "clean" if "clean" in marks else "failed" if marks else ""
