"""What the kept takes came to, over all of them: exercises known by their music, lines, bars, weak spots, beats overruled.

An exercise is a row of versions: music that shares at least half of its bars with one of them, in as many voices, is the same exercise
edited; music whose every bar is in one of them is an excerpt of it. Paths do not count, and a title only for an excerpt of one bar.
Takes in the bin are left out.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Any

from trainer.log.outcome import BarOutcome, Figures, Music, Outcome, Overruling, Tried
from trainer.log.store import Store
from trainer.log.written import beside_of, canonical
from trainer.practice.beside import Beside
from trainer.score.model import Score
from trainer.score.moved import as_written
from trainer.score.sameness import BarMusic, bar_music, shared_bars

SAME_SHARE = 2
"""One bar in so many must be kept for music to be the same exercise."""

RECENT_TAKES = 200
"""Weak spots are counted over so many of the latest lines sung."""


@dataclass(frozen=True, slots=True)
class LineTaken(Figures):
    """One sung line of one kept take, without its bars."""

    number: int
    exercise: int
    source: str
    started_utc: str


@dataclass(frozen=True, slots=True)
class BarTaken:
    """One bar of one kept take of a line, and in which version of its exercise it stands."""

    number: int
    music_digest: str
    outcome: BarOutcome


@dataclass(frozen=True, slots=True)
class Version:
    """One version of an exercise, its bars in reading order."""

    music_digest: str
    exercise: int
    music: Music
    bars: tuple[BarMusic, ...]


class History:
    """Counts over an open store, and the writing of what they are counted from."""

    def __init__(self, store: Store) -> None:
        self._store = store

    def put(self, number: int, score: Score, music: Music, outcomes: Sequence[Outcome]) -> None:
        """Keep what each sung line of an attempt came to, in place of what was kept of it before."""
        digest = as_written(score).digest()
        bars = bar_music(score)
        with self._store.transaction() as run:
            row = run("SELECT source, started_utc FROM attempts WHERE number = ?", (number,)).fetchone()
            if row is None:
                return  # it was purged meanwhile
            exercise = _known(run, digest)
            if exercise is None:
                exercise = _alike(run, bars, music.parts, music.title) or _next(run)
                run(
                    "INSERT INTO versions VALUES (?, ?, ?, ?, ?, ?, ?)",
                    (digest, exercise, *_row(music), canonical([list(_row(bar)) for bar in bars])),
                )
                for name in {bar.digest for bar in bars} | {bar.as_first for bar in bars}:
                    run("INSERT INTO version_bars VALUES (?, ?)", (name, digest))
            run("DELETE FROM outcomes WHERE number = ?", (number,))
            for position, one in enumerate(outcomes):
                run(
                    "INSERT INTO outcomes VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?)",
                    (number, position, exercise, digest, one.line, one.voice, *row, *_row(one)[2:-2]),
                )
                for bar in one.bars:
                    run("INSERT INTO bar_outcomes VALUES (?, ?, ?, ?, ?, ?, ?)", (number, position, *_row(bar)))
                for tried in one.tried:
                    run("INSERT INTO tried VALUES (?, ?, ?, ?, ?)", (number, position, *_row(tried)))

    def exercise_of(self, score: Score) -> int | None:
        """The exercise that this music is a version or an excerpt of; None when it was never sung."""
        with self._store.transaction() as run:
            return _known(run, as_written(score).digest()) or _alike(
                run, bar_music(score), len(score.lines), score.title
            )

    def lines(self, exercise: int | None = None) -> list[LineTaken]:
        """Every sung line of every kept take, or those of one exercise, in the order in which they were made."""
        with self._store.transaction() as run:
            rows = run(
                "SELECT o.line, o.voice, o.mark, o.company, o.guide, o.part, o.seconds, o.notes, o.judged, o.held, o.pulled,"
                " o.lowest, o.highest, o.drift_cents, o.number, o.exercise, o.source, o.started_utc"
                " FROM outcomes o JOIN attempts a USING (number) WHERE a.removed_utc IS NULL"
                " AND (?1 IS NULL OR o.exercise = ?1) ORDER BY o.number, o.position",
                (exercise,),
            ).fetchall()
        return [LineTaken(*row) for row in rows]

    def company(self, exercise: int, line: int) -> list[tuple[Beside, str]]:
        """What was around the singer in every kept whole take of a line, with its mark, in the order in which they were sung."""
        with self._store.transaction() as run:
            rows = run(
                "SELECT a.beside, o.mark FROM outcomes o JOIN attempts a USING (number) WHERE a.removed_utc IS NULL"
                " AND o.part = 'whole' AND o.exercise = ? AND o.line = ? ORDER BY o.number",
                (exercise, line),
            ).fetchall()
        return [(beside_of(json.loads(told)), mark) for told, mark in rows]

    def bars(self, exercise: int, line: int, *, since: int = 0) -> list[BarTaken]:
        """Every bar of every kept take of a line from a number on, in the order in which they were sung."""
        with self._store.transaction() as run:
            rows = run(
                "SELECT o.number, o.music_digest, b.bar, b.judged, b.held, b.cause, b.pulled_to FROM outcomes o"
                " JOIN attempts a USING (number) JOIN bar_outcomes b USING (number, position)"
                " WHERE a.removed_utc IS NULL AND o.exercise = ? AND o.line = ? AND o.number >= ?"
                " ORDER BY o.number, o.position, b.bar",
                (exercise, line, since),
            ).fetchall()
        return [BarTaken(number, digest, BarOutcome(*told)) for number, digest, *told in rows]

    def versions(self, exercise: int | None = None) -> list[Version]:
        """The versions of an exercise, or of all, in the order in which each was first sung."""
        with self._store.transaction() as run:
            rows = run(
                "SELECT v.music_digest, v.exercise, v.title, v.parts, v.species, v.mode, v.bars,"
                " (SELECT min(number) FROM outcomes o WHERE o.exercise = v.exercise AND o.music_digest = v.music_digest)"
                " AS first FROM versions v WHERE ?1 IS NULL OR v.exercise = ?1 ORDER BY first, v.music_digest",
                (exercise,),
            ).fetchall()
        return [
            Version(digest, number, Music(title, parts, species, mode), _bars(told))
            for digest, number, title, parts, species, mode, told, _ in rows
        ]

    def spots(self) -> list[Tried]:
        """Weak spots over the latest lines sung, all of them added up, by name."""
        with self._store.transaction() as run:
            rows = run(
                "SELECT t.spot, sum(t.tried), sum(t.failed) FROM tried t JOIN (SELECT o.number, o.position FROM outcomes o"
                " JOIN attempts a USING (number) WHERE a.removed_utc IS NULL ORDER BY o.number DESC LIMIT ?)"
                " USING (number, position) GROUP BY t.spot ORDER BY t.spot",
                (RECENT_TAKES,),
            ).fetchall()
        return [Tried(*row) for row in rows]

    def uncounted(self) -> int:
        """How many kept takes have no outcome here: those of an earlier version, until they are judged again."""
        with self._store.transaction() as run:
            row = run(
                "SELECT count(*) FROM attempts WHERE removed_utc IS NULL AND number NOT IN (SELECT number FROM outcomes)",
                (),
            ).fetchone()
        return int(row[0])

    def overrule(self, number: int, told: Overruling) -> None:
        """Keep somebody's own sign for a beat beside the program's; earlier ones stay."""
        with self._store.transaction() as run:
            run(
                "INSERT INTO overrulings (number, position, bar, beat, sign, reason, made_utc) VALUES (?,?,?,?,?,?,?)",
                (number, *_row(told)),
            )

    def overrulings(self, number: int) -> list[Overruling]:
        """Every beat overruled in a take, the latest last."""
        with self._store.transaction() as run:
            rows = run(
                "SELECT position, bar, beat, sign, reason, made_utc FROM overrulings WHERE number = ? ORDER BY id",
                (number,),
            ).fetchall()
        return [Overruling(*row) for row in rows]


def _row(record: Music | BarMusic | BarOutcome | Tried | Outcome | Overruling) -> tuple[Any, ...]:
    """A record's values in order, those inside it left as they are."""
    return tuple(getattr(record, field.name) for field in fields(record))


def _known(run: Any, digest: str) -> int | None:
    row = run("SELECT exercise FROM versions WHERE music_digest = ?", (digest,)).fetchone()
    return None if row is None else int(row[0])


def _next(run: Any) -> int:
    return int(run("SELECT coalesce(max(exercise), 0) + 1 FROM versions", ()).fetchone()[0])


def _alike(run: Any, bars: Sequence[BarMusic], parts: int, title: str) -> int | None:
    """The exercise with the version that shares most bars, where that is enough to be the same; one bar needs the title as well."""
    names = sorted({name for bar in bars for name in (bar.digest, bar.as_first)})
    found: dict[str, int] = {}
    for start in range(0, len(names), 500):  # below SQLite's limit of variables
        part = names[start : start + 500]
        marks = ",".join("?" * len(part))
        for digest, count in run(
            f"SELECT music_digest, count(*) FROM version_bars WHERE digest IN ({marks}) GROUP BY music_digest",  # noqa: S608
            part,
        ).fetchall():
            found[digest] = found.get(digest, 0) + count
    best, most = None, 0
    for digest in sorted(found, key=lambda name: (-found[name], name))[:8]:
        exercise, their_parts, their_title, told = run(
            "SELECT exercise, parts, title, bars FROM versions WHERE music_digest = ?", (digest,)
        ).fetchone()
        theirs = _bars(told)
        shared = shared_bars(theirs, bars) if their_parts == parts else 0
        whole = shared == min(len(theirs), len(bars)) and (shared > 1 or (shared and their_title == title))
        if (whole or shared * SAME_SHARE >= max(len(theirs), len(bars))) and shared > most:
            best, most = int(exercise), shared
    return best


def _bars(told: str) -> tuple[BarMusic, ...]:
    return tuple(BarMusic(*row) for row in json.loads(told))
