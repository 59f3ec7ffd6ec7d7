"""The database of attempts: put in, listed, brought out again exactly, removed for seven days, deleted for good."""

from __future__ import annotations

import contextlib
import json
import zlib
from dataclasses import dataclass, replace
from typing import Any

from trainer.errors import LogError
from trainer.log.attempt import Attempt
from trainer.log.database import Database
from trainer.log.judged import performance_of, performance_text
from trainer.log.packed import pack, unpack
from trainer.log.written import (
    anchors_of,
    anchors_table,
    beside_of,
    beside_table,
    canonical,
    digest,
    score_of,
    score_text,
    settings_of,
    settings_table,
)
from trainer.practice.settings import Settings
from trainer.practice.take import Performance

BIN_DAYS = 7


@dataclass(frozen=True, slots=True)
class Entry:
    """One attempt as a list shows it; ``summaries`` is one table a sung line, of the latest verdict."""

    number: int
    key: str
    started_utc: str
    title: str
    source: str
    whole: bool
    removed_utc: str | None
    summaries: tuple[dict[str, Any], ...]


class Store(Database):
    """The attempts in an open database."""

    def put(self, attempt: Attempt) -> int:
        """Keep an attempt and give its number; one that is kept already is not kept twice."""
        text = score_text(attempt.score)
        with self.transaction() as run:
            run(
                "INSERT OR IGNORE INTO scores VALUES (?, ?, ?, ?)",
                (digest(text), attempt.score.digest(), attempt.score.title, text),
            )
            row = run(
                "INSERT OR IGNORE INTO attempts (key, started_utc, version, source, score_digest, lines, settings,"
                " anchors, whole, beside) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?) RETURNING number",
                (
                    attempt.key,
                    attempt.started_utc,
                    attempt.version,
                    attempt.source,
                    digest(text),
                    canonical(list(attempt.lines)),
                    canonical(settings_table(attempt.settings)),
                    canonical(anchors_table(attempt.anchors)),
                    int(attempt.whole),
                    canonical(beside_table(attempt.beside)),
                ),
            ).fetchone()
            if row is None:
                found = run("SELECT number FROM attempts WHERE key = ?", (attempt.key,)).fetchone()
                return int(found[0])
            run("INSERT INTO heard VALUES (?, ?)", (row[0], pack(attempt.heard)))
            return int(row[0])

    def put_verdict(
        self, number: int, *, version: str, settings: Settings, summaries: tuple[dict[str, Any], ...]
    ) -> None:
        """Keep what an attempt came to under some settings; the same judgement again takes the place of the former."""
        with self.transaction() as run:
            run(
                "INSERT OR REPLACE INTO verdicts (number, version, settings, summary) VALUES (?, ?, ?, ?)",
                (number, version, canonical(settings_table(settings)), canonical(list(summaries))),
            )

    def get(self, number: int) -> Attempt:
        """The attempt of that number. Raises LogError when there is none or its line is damaged."""
        cover = self.cover(number)
        with self.transaction() as run:
            row = run("SELECT packed FROM heard WHERE number = ?", (number,)).fetchone()
        try:
            return replace(cover, heard=unpack(row[0] if row else b""))
        except (ValueError, TypeError) as err:
            raise LogError(f"take {number} cannot be read: {err}", str(self.path), "remove it: takes purge") from err

    def cover(self, number: int) -> Attempt:
        """The same without what was heard."""
        with self.transaction() as run:
            row = run(
                "SELECT a.key, a.started_utc, a.version, a.source, s.text, a.lines, a.settings, a.anchors, a.whole, a.beside"
                " FROM attempts a JOIN scores s ON s.digest = a.score_digest WHERE a.number = ? AND a.removed_utc IS NULL",
                (number,),
            ).fetchone()
        if row is None:
            raise LogError(f"there is no take {number}", str(self.path), "heldline takes lists them")
        key, started, version, source, text, lines, settings, anchors, whole, beside = row
        try:
            return Attempt(
                key,
                started,
                version,
                source,
                score_of(text),
                tuple(json.loads(lines)),
                settings_of(json.loads(settings)),
                anchors_of(json.loads(anchors)),
                (),
                bool(whole),
                beside_of(json.loads(beside)),
            )
        except (ValueError, KeyError, TypeError) as err:
            raise LogError(f"take {number} cannot be read: {err}", str(self.path), "remove it: takes purge") from err

    def keep_judged(self, number: int, judge: str, settings: Settings, performance: Performance) -> None:
        """Keep the whole of what an attempt came to, for the next look."""
        packed = zlib.compress(performance_text(performance).encode(), 1)
        with self.transaction() as run:
            run(
                "INSERT OR REPLACE INTO judged_before VALUES (?, ?, ?, ?)",
                (number, judge, canonical(settings_table(settings)), packed),
            )

    def judged_before(self, number: int, judge: str, settings: Settings) -> Performance | None:
        """What the judge of that name gave an attempt under these settings; None where it was not asked, or it cannot be read."""
        with self.transaction() as run:
            row = run(
                "SELECT packed FROM judged_before WHERE number = ? AND settings = ? AND judge = ?",
                (number, canonical(settings_table(settings)), judge),
            ).fetchone()
        if row is None:
            return None
        with contextlib.suppress(ValueError, zlib.error):  # all of it can be judged again
            return performance_of(zlib.decompress(row[0]).decode())
        return None

    def last(self) -> int | None:
        """Number of the latest attempt that was not removed; None in an empty store."""
        with self.transaction() as run:
            row = run("SELECT max(number) FROM attempts WHERE removed_utc IS NULL", ()).fetchone()
        return None if row[0] is None else int(row[0])

    def entries(self, latest: int | None = None) -> list[Entry]:
        """Every attempt, or so many of the latest, the latest last, removed ones too."""
        with self.transaction() as run:
            rows = run(
                "SELECT a.number, a.key, a.started_utc, s.title, a.source, a.whole, a.removed_utc,"
                " (SELECT v.summary FROM verdicts v WHERE v.number = a.number ORDER BY v.id DESC LIMIT 1)"
                " FROM attempts a JOIN scores s ON s.digest = a.score_digest ORDER BY a.number DESC LIMIT ?",
                (-1 if latest is None else latest,),
            ).fetchall()[::-1]
        return [
            Entry(number, key, started, title, source, bool(whole), removed, tuple(json.loads(summary or "[]")))
            for number, key, started, title, source, whole, removed, summary in rows
        ]

    def verdicts(self, number: int) -> list[tuple[str, Settings, tuple[dict[str, Any], ...]]]:
        """Version, settings and summaries of every judgement of an attempt, the first one first."""
        with self.transaction() as run:
            rows = run(
                "SELECT version, settings, summary FROM verdicts WHERE number = ? ORDER BY id", (number,)
            ).fetchall()
        return [(version, settings_of(json.loads(told)), tuple(json.loads(summary))) for version, told, summary in rows]

    def remove(self, number: int, now_utc: str) -> None:
        """Put an attempt in the bin, from where :meth:`bring_back` fetches it."""
        with self.transaction() as run:
            run("UPDATE attempts SET removed_utc = ? WHERE number = ?", (now_utc, number))

    def bring_back(self) -> int | None:
        """Take the attempt removed last out of the bin; its number, None when the bin is empty."""
        with self.transaction() as run:
            row = run(
                "SELECT number FROM attempts WHERE removed_utc IS NOT NULL ORDER BY removed_utc DESC, number LIMIT 1",
                (),
            ).fetchone()
            if row is not None:
                run("UPDATE attempts SET removed_utc = NULL WHERE number = ?", (row[0],))
        return None if row is None else int(row[0])

    def empty_bin(self, before_utc: str) -> list[str]:
        """Delete for good what was removed before *before_utc*; the keys of what went."""
        with self.transaction() as run:
            rows = run("SELECT number, key FROM attempts WHERE removed_utc < ?", (before_utc,)).fetchall()
        self._delete([number for number, _ in rows])
        return [key for _, key in rows]

    def purge(self, before_utc: str | None = None) -> list[str]:
        """Delete for good every attempt, or those begun before *before_utc*, and leave no trace in the file; their keys."""
        with self.transaction() as run:
            rows = run(
                "SELECT number, key FROM attempts WHERE ?1 IS NULL OR started_utc < ?1", (before_utc,)
            ).fetchall()
        self._delete([number for number, _ in rows])
        with self.transaction() as run:
            run("DELETE FROM rehearsals WHERE ?1 IS NULL OR changed_utc < ?1", (before_utc,))
        self.vacuum()
        return [key for _, key in rows]

    def _delete(self, numbers: list[int]) -> None:
        if not numbers:
            return
        with self.transaction() as run:
            for number in numbers:
                run("DELETE FROM attempts WHERE number = ?", (number,))
            run("DELETE FROM scores WHERE digest NOT IN (SELECT score_digest FROM attempts)", ())
            run("DELETE FROM versions WHERE music_digest NOT IN (SELECT music_digest FROM outcomes)", ())
