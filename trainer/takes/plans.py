"""What the kept takes say to do next, read from an open store."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime

from trainer.log.history import BarTaken, History, LineTaken, Version
from trainer.log.outcome import BarOutcome
from trainer.log.store import Store
from trainer.plan.days import Now, dated_ahead, days_of
from trainer.plan.returns import standings
from trainer.plan.stumbles import StumbleMap, stumble_map
from trainer.plan.tally import sung_exercises
from trainer.plan.today import LAST_TAKES, LineBars, Step, plan, practised_last, weak_bars
from trainer.plan.weak import aim
from trainer.reports.plan import MOST_SHOWN, Known
from trainer.score.model import VOICES_BY_PARTS, Score
from trainer.score.moved import semitones_moved
from trainer.score.sameness import BarMusic, bar_music, matched


@dataclass(frozen=True, slots=True)
class Planned:
    """Today's steps with what their words need.

    *voice* is the one sung last; *ahead* takes are dated after today, *uncounted* come from an earlier version.
    """

    steps: tuple[Step, ...]
    known: Mapping[int, Known]
    aim: str
    voice: str
    ahead: int
    uncounted: int


def now() -> Now:
    """This moment."""
    return Now(datetime.now(UTC))


def planned(store: Store, titles: Collection[str], at: Now) -> Planned:
    """Today's plan; *titles* are those of the library, in small letters."""
    history = History(store)
    taken, versions = history.lines(), history.versions()
    bars, days = {}, days_of(taken, at)
    by_number = {one.number: day for one, day in zip(taken, days, strict=True)}
    for one in practised_last(standings(taken, days), at.day):
        numbers = [row.number for row in taken if (row.exercise, row.line) == (one.exercise, one.line)][-LAST_TAKES:]
        found = history.bars(one.exercise, one.line, since=numbers[0])
        bars[one.exercise, one.line] = _bars_of(found, versions, one.exercise, by_number)
    voices = {version.exercise: _voices(version, taken) for version in versions}
    steps = tuple(plan(taken, days, bars, voices, at))
    return Planned(
        steps,
        _in_their_keys(store, steps, _known(taken, versions, frozenset(titles))),
        aim(history.spots()),
        taken[-1].voice if taken else "",
        dated_ahead(taken, at),
        history.uncounted(),
    )


def stumbles(store: Store, score: Score, line: int) -> StumbleMap | None:
    """The map of one line over all kept takes of this music; None where it was never sung."""
    history = History(store)
    exercise = history.exercise_of(score)
    if exercise is None:
        return None
    found = stumble_map(
        bar_music(score),
        history.versions(exercise),
        history.bars(exercise, line),
        [one for one in history.lines(exercise) if one.line == line],
        fifths=score.keys[0][1].fifths if score.keys else 0,
    )
    return found if found.takes else None


def weakest_bar(store: Store, score: Score, line: int, at: Now) -> int | None:
    """The bar of *score* that failed worst in the latest takes of a line; None where none failed."""
    history = History(store)
    exercise = history.exercise_of(score)
    if exercise is None:
        return None
    taken = [one for one in history.lines(exercise) if one.line == line][-LAST_TAKES:]
    if not taken:
        return None
    places = {version.music_digest: matched(version.bars, bar_music(score)) for version in history.versions(exercise)}
    days = {one.number: day for one, day in zip(taken, days_of(taken, at), strict=True)}
    found = weak_bars(_placed(history.bars(exercise, line, since=taken[0].number), places, days), at.day)
    return found[0] if found else None


def _known(taken: list[LineTaken], versions: list[Version], titles: frozenset[str]) -> dict[int, Known]:
    """How each exercise is called for: the library's by title, others by the latest whole take."""
    last: dict[int, int] = {}
    whole: dict[int, int] = {}
    for one in taken:
        last[one.exercise] = one.number
        if one.part == "whole":
            whole[one.exercise] = one.number
    return {
        written.exercise: Known(
            written.music.title,
            whole.get(written.exercise, last.get(written.exercise, 0)),
            written.origin,
            printed={bar.number: bar.printed for bar in _fullest(versions, written.exercise)},
        )
        for written in sung_exercises(versions, titles)
        if written.exercise is not None
    }


def _in_their_keys(store: Store, steps: Sequence[Step], known: dict[int, Known]) -> dict[int, Known]:
    """*known* with the key in which each exercise was sung last, for the steps that are shown."""
    for exercise in {step.exercise for step in steps[:MOST_SHOWN] if step.exercise in known}:
        one = known[exercise]
        known[exercise] = replace(one, semitones=semitones_moved(store.cover(one.take).score))
    return known


def _voices(version: Version, taken: list[LineTaken]) -> tuple[str, ...]:
    names = {one.line: one.voice for one in taken if one.exercise == version.exercise}
    usual = VOICES_BY_PARTS.get(version.music.parts, ())
    return tuple(names.get(line, usual[line] if usual else str(line + 1)) for line in range(version.music.parts))


def _fullest(versions: Sequence[Version], exercise: int) -> tuple[BarMusic, ...]:
    """The bars of the fullest of an exercise's latest versions."""
    mine = (version for version in reversed(versions) if version.exercise == exercise)
    return max(mine, key=lambda version: len(version.bars)).bars


def _bars_of(
    taken: Sequence[BarTaken], versions: Sequence[Version], exercise: int, days: Mapping[int, date]
) -> LineBars:
    """A line's latest takes with their bars numbered as in the fullest of its exercise's latest versions."""
    target, mine = _fullest(versions, exercise), [version for version in versions if version.exercise == exercise]
    return _placed(taken, {version.music_digest: matched(version.bars, target) for version in mine}, days)


def _placed(taken: Sequence[BarTaken], places: Mapping[str, Mapping[int, int]], days: Mapping[int, date]) -> LineBars:
    """Each take's bars under the numbers that *places* gives them."""
    by_take: dict[int, list[BarOutcome]] = {}
    for bar in taken:
        place = places[bar.music_digest].get(bar.outcome.bar)
        if place is not None and bar.number in days:
            by_take.setdefault(bar.number, []).append(replace(bar.outcome, bar=place))
    return LineBars(tuple((days[number], tuple(bars)) for number, bars in by_take.items()))
