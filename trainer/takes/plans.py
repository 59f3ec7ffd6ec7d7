"""What the kept takes say to do next, read from an open store."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime

from trainer.log.history import BarTaken, History, LineTaken, Version
from trainer.log.store import Store
from trainer.plan.days import Now, dated_ahead, days_of
from trainer.plan.returns import standings
from trainer.plan.stumbles import StumbleMap, stumble_map
from trainer.plan.tally import sung_exercises
from trainer.plan.today import LineBars, Step, plan, practised_last
from trainer.plan.weak import aim
from trainer.reports.plan import Known
from trainer.score.model import VOICES_BY_PARTS, Score
from trainer.score.sameness import BarMusic, bar_music, matched


@dataclass(frozen=True, slots=True)
class Planned:
    """Today's steps with what their words need; *ahead* takes are dated after today, *uncounted* come from an earlier version."""

    steps: tuple[Step, ...]
    known: Mapping[int, Known]
    aim: str
    ahead: int
    uncounted: int


def now() -> Now:
    """This moment."""
    return Now(datetime.now(UTC))


def planned(store: Store, titles: Collection[str], at: Now) -> Planned:
    """Today's plan; *titles* are those of the library, in small letters."""
    history = History(store)
    taken, versions = history.lines(), history.versions()
    bars = {}
    for one in practised_last(standings(taken, days_of(taken, at)), at.day):
        bars[one.exercise, one.line] = _bars_of(history, one.exercise, one.line, taken, versions, at)
    voices = {version.exercise: _voices(version, taken) for version in versions}
    return Planned(
        tuple(plan(taken, bars, voices, at)),
        _known(taken, versions, frozenset(titles)),
        aim(history.spots()),
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
        )
        for written in sung_exercises(versions, titles)
        if written.exercise is not None
    }


def _voices(version: Version, taken: list[LineTaken]) -> tuple[str, ...]:
    names = {one.line: one.voice for one in taken if one.exercise == version.exercise}
    usual = VOICES_BY_PARTS.get(version.music.parts, ())
    return tuple(names.get(line, usual[line] if usual else str(line + 1)) for line in range(version.music.parts))


def _bars_of(
    history: History, exercise: int, line: int, taken: list[LineTaken], versions: list[Version], at: Now
) -> LineBars:
    """The line's takes with their bars numbered as in its fullest latest version."""
    days = {one.number: day for one, day in zip(taken, days_of(taken, at), strict=True)}
    mine = [version for version in versions if version.exercise == exercise]
    target: tuple[BarMusic, ...] = max(reversed(mine), key=lambda version: len(version.bars)).bars
    places = {version.music_digest: matched(version.bars, target) for version in mine}
    by_take: dict[int, list[BarTaken]] = {}
    for bar in history.bars(exercise, line):
        by_take.setdefault(bar.number, []).append(bar)
    found = []
    for number, bars in by_take.items():
        placed = tuple(
            _placed(bar, places[bar.music_digest][bar.outcome.bar])
            for bar in bars
            if bar.outcome.bar in places[bar.music_digest]
        )
        found.append((days[number], tuple(bar.outcome for bar in placed)))
    return LineBars(tuple(found))


def _placed(bar: BarTaken, number: int) -> BarTaken:
    return replace(bar, outcome=replace(bar.outcome, bar=number))
