"""What to do today, in order: rest first where it is time, then weak bars of the last day, lines that come back, one new line.

One new line a day: a second like it on the same evening took the night's gain away (Allen 2013). Weak bars come first on the next day,
with the bar before them, since the way into a note is where it is lost (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from trainer.log.history import LineTaken
from trainer.log.outcome import BarOutcome
from trainer.plan.days import DAY_SECONDS, REST_SECONDS, Now, seconds_today, seconds_without_rest
from trainer.plan.returns import Standing, standings

WEAK_BARS = 2
LAST_TAKES = 3
"""Weak bars are ranked over so many of a line's latest takes, weighed by what went wrong."""

WEIGHTS = {"pulled": 3, "off": 2, "octave": 2, "silent": 2}
HALF_LIFE_DAYS = 7
REST, ENOUGH, WEAK, DUE, NEXT_VOICE, NEW = "rest", "enough", "weak bars", "due", "next voice", "new"


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to do.

    Parameters
    ----------
    kind : str
        "rest", "enough", "weak bars", "due", "next voice" or "new".
    exercise : int or None
    line : int or None
    voice : str
    bars : (int, int) or None
        To be practised, the bar before the first one included.
    days : int
        Since it was due, or since the line was sung last.
    minutes : int
        Sung so far, where that is the reason.
    """

    kind: str
    exercise: int | None = None
    line: int | None = None
    voice: str = ""
    bars: tuple[int, int] | None = None
    days: int = 0
    minutes: int = 0


@dataclass(frozen=True, slots=True)
class LineBars:
    """The bars of a line's latest takes: of each take its day and bars, the latest last."""

    takes: tuple[tuple[date, tuple[BarOutcome, ...]], ...]


def weak_bars(bars: LineBars, today: date) -> list[int]:
    """The worst bars, the worst first: faults by weight a chance, half as much for each week that has passed."""
    weight: dict[int, float] = {}
    chances: dict[int, float] = {}
    for day, taken in bars.takes[-LAST_TAKES:]:
        fresh = 0.5 ** ((today - day).days / HALF_LIFE_DAYS)
        for one in taken:
            missed = one.judged - one.held
            weight[one.bar] = weight.get(one.bar, 0.0) + fresh * missed * WEIGHTS.get(one.cause, 1)
            chances[one.bar] = chances.get(one.bar, 0.0) + one.judged
    rates = {bar: weight[bar] / chances[bar] for bar in weight if chances[bar] and weight[bar] > 0}
    return sorted(rates, key=lambda bar: (-rates[bar], bar))[:WEAK_BARS]


def plan(
    taken: Sequence[LineTaken],
    days: Sequence[date],
    bars: Mapping[tuple[int, int], LineBars],
    parts: Mapping[int, Sequence[str]],
    now: Now,
) -> list[Step]:
    """Today's steps in order.

    Parameters
    ----------
    taken : sequence of LineTaken
        Every kept take, the latest last.
    days : sequence of date
        On which each was sung, as :func:`trainer.plan.days.days_of` gives.
    bars : mapping from (exercise, line) to LineBars
        Of the lines whose weak bars may be asked for: see :func:`practised_last`.
    parts : mapping from exercise to its voices' names
    now : Now
    """
    today = now.day
    known = standings(taken, days)
    steps = _breaks(taken, now)
    weak = [step for standing in practised_last(known, today) for step in _weak(standing, bars, today)]
    steps += weak
    due = sorted((one for one in known if one.due <= today), key=lambda one: (one.due, one.exercise, one.line))
    # what is to be learnt still and what failed is met by its weak bars first
    steps += [Step(DUE, one.exercise, one.line, one.voice, days=(today - one.due).days) for one in due]
    if not any(one.first == today for one in known):
        steps += _new(known, parts)
    return steps


def practised_last(known: Sequence[Standing], today: date) -> list[Standing]:
    """Lines sung on the last day of practice before today that are due again, whose weak bars come first."""
    earlier = [one for one in known if one.last < today]
    latest = max((one.last for one in earlier), default=None)
    return [one for one in earlier if one.last == latest and one.due <= today]


def _breaks(taken: Sequence[LineTaken], now: Now) -> list[Step]:
    minutes_today, minutes = seconds_today(taken, now), seconds_without_rest(taken, now)
    if minutes_today >= DAY_SECONDS:
        return [Step(ENOUGH, minutes=minutes_today // 60)]
    return [Step(REST, minutes=minutes // 60)] if minutes >= REST_SECONDS else []


def _weak(standing: Standing, bars: Mapping[tuple[int, int], LineBars], today: date) -> list[Step]:
    here = bars.get((standing.exercise, standing.line))
    if here is None or not here.takes:
        return []
    first = min((one.bar for one in here.takes[-1][1]), default=1)
    worst = weak_bars(here, today)
    return [Step(WEAK, standing.exercise, standing.line, standing.voice, (max(bar - 1, first), bar)) for bar in worst]


def _new(known: Sequence[Standing], parts: Mapping[int, Sequence[str]]) -> list[Step]:
    """The next unsung voice of what was sung last, else something new altogether; nothing while a line is being learnt."""
    if any(not one.learnt for one in known):
        return []
    if known:
        latest = max(known, key=lambda one: (one.last, one.exercise))
        tried = {one.line for one in known if one.exercise == latest.exercise}
        for line, voice in enumerate(parts.get(latest.exercise, ())):
            if line not in tried:
                return [Step(NEXT_VOICE, latest.exercise, line, voice)]
    return [Step(NEW)]
