"""Where a line was stumbled over, bar by bar over takes: a bar that fails for most takes is hard, whoever sings it.

A take belongs to a bar as long as the bar's music is the same, whatever became of the rest: takes of an earlier version and of
excerpts are counted where they stand now. A bar with other music in its place is told apart, before and after. Nothing is called hard
from fewer than three takes.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from trainer.log.history import BarTaken, LineTaken, Version
from trainer.plan.returns import IN_COMPANY
from trainer.score.naming import LETTERS, Names
from trainer.score.sameness import BarMusic, matched, rewritten

LEAST_TAKES = 3


@dataclass(frozen=True, slots=True)
class Stumbled:
    """One bar of one line over takes.

    Parameters
    ----------
    bar : int
    printed : str
    takes, failed : int
        In how many it could be judged, and in how many of these not every note was held.
    causes : tuple of (str, int)
        Main signs with their counts, the most frequent first.
    pulled_to : tuple of (str, int)
    before : tuple of (int, int) or None
        Takes and failures of the bar that stood here before it was rewritten.
    """

    bar: int
    printed: str
    takes: int
    failed: int
    causes: tuple[tuple[str, int], ...] = ()
    pulled_to: tuple[tuple[str, int], ...] = ()
    before: tuple[int, int] | None = None

    @property
    def hard(self) -> bool:
        """Whether enough takes say so: three or more, and more than half failed."""
        return self.takes >= LEAST_TAKES and 2 * self.failed > self.takes


@dataclass(frozen=True, slots=True)
class StumbleMap:
    """All bars of a line, and whose takes they were.

    Parameters
    ----------
    bars : tuple of Stumbled
    takes : int
        Takes in which anything of the line was heard.
    lowest_midi, highest_midi : int or None
        What was sung in them, in the octave in which it was sung.
    fifths : int
        The signature by which these are spelled.
    costs : tuple of (int, str) or None
        Bars held in the latest take alone and not in the latest in company, each with the voice that it was pulled to or ""; None
        where one of the two was never sung.
    names : Names
        By which the compass is told.
    """

    bars: tuple[Stumbled, ...]
    takes: int
    lowest_midi: int | None = None
    highest_midi: int | None = None
    fifths: int = 0
    costs: tuple[tuple[int, str], ...] | None = None
    names: Names = LETTERS

    @property
    def hardest(self) -> tuple[Stumbled, ...]:
        """The hard bars, the worst first."""
        return tuple(sorted((bar for bar in self.bars if bar.hard), key=lambda bar: (-bar.failed / bar.takes, bar.bar)))


@dataclass(slots=True)
class _Count:
    takes: int = 0
    failed: int = 0
    causes: Counter[str] = field(default_factory=Counter)
    pulled_to: Counter[str] = field(default_factory=Counter)


def stumble_map(
    bars: Sequence[BarMusic],
    versions: Sequence[Version],
    taken: Sequence[BarTaken],
    lines: Sequence[LineTaken],
    *,
    fifths: int,
) -> StumbleMap:
    """The map of one line as the score stands now.

    Parameters
    ----------
    bars : sequence of BarMusic
        Of the score as it stands.
    versions : sequence of Version
        Every version of the exercise.
    taken : sequence of BarTaken
        Every bar of every kept take of this line.
    lines : sequence of LineTaken
        The same takes as wholes.
    fifths : int
        Signature of the score, sharps positive.
    """
    same = {version.music_digest: matched(version.bars, bars) for version in versions}
    instead = {version.music_digest: rewritten(version.bars, bars) for version in versions}
    now, before = _counted(taken, same), _counted(taken, instead)
    found = []
    for bar in bars:
        here, was = now.get(bar.number, _Count()), before.get(bar.number)
        found.append(
            Stumbled(
                bar.number,
                bar.printed,
                here.takes,
                here.failed,
                tuple(here.causes.most_common()),
                tuple(here.pulled_to.most_common()),
                None if was is None else (was.takes, was.failed),
            )
        )
    heard = [one for one in lines if one.judged]
    lowest = [one.lowest_midi for one in heard if one.lowest_midi is not None]
    highest = [one.highest_midi for one in heard if one.highest_midi is not None]
    costs = _costs(taken, same, heard)
    return StumbleMap(
        tuple(found),
        len({one.number for one in heard}),
        min(lowest, default=None),
        max(highest, default=None),
        fifths,
        costs,
    )


def _counted(taken: Sequence[BarTaken], places: Mapping[str, Mapping[int, int]]) -> dict[int, _Count]:
    counts: dict[int, _Count] = {}
    for one in taken:
        place = places.get(one.music_digest, {}).get(one.outcome.bar)
        if place is None or not one.outcome.judged:
            continue
        count = counts.setdefault(place, _Count())
        count.takes += 1
        if one.outcome.held < one.outcome.judged:
            count.failed += 1
            count.causes[one.outcome.cause] += 1
            if one.outcome.pulled_to:
                count.pulled_to[one.outcome.pulled_to] += 1
    return counts


def _costs(
    taken: Sequence[BarTaken], places: Mapping[str, Mapping[int, int]], lines: Sequence[LineTaken]
) -> tuple[tuple[int, str], ...] | None:
    """What company costs, from the latest take alone and the latest against all others."""
    alone = [one.number for one in lines if one.company == "alone"]
    company = [one.number for one in lines if one.company in IN_COMPANY]
    if not alone or not company:
        return None
    held: dict[int, set[int]] = {}
    lost: dict[int, str] = {}
    for one in taken:
        place = places.get(one.music_digest, {}).get(one.outcome.bar)
        if place is None or not one.outcome.judged:
            continue
        if one.outcome.held == one.outcome.judged:
            held.setdefault(one.number, set()).add(place)
        elif one.number == company[-1]:
            lost[place] = one.outcome.pulled_to
    return tuple((place, lost[place]) for place in sorted(lost) if place in held.get(alone[-1], set()))
