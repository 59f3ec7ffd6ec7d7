"""The database's shape, as named steps in order. A step is one transaction together with the record that it was taken.

A step that shipped is never changed: what it made is on people's machines. ``PRAGMA user_version`` holds the number of the last step.
"""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Callable

Step = Callable[[sqlite3.Connection], None]


def first_tables(connection: sqlite3.Connection) -> None:
    """Scores by digest, attempts, what was heard, and verdicts."""
    for statement in (
        """CREATE TABLE scores (
            digest TEXT PRIMARY KEY, music_digest TEXT NOT NULL, title TEXT NOT NULL, text TEXT NOT NULL
        ) WITHOUT ROWID""",
        """CREATE TABLE attempts (
            number INTEGER PRIMARY KEY AUTOINCREMENT, key TEXT NOT NULL UNIQUE, started_utc TEXT NOT NULL,
            version TEXT NOT NULL, source TEXT NOT NULL, score_digest TEXT NOT NULL REFERENCES scores(digest),
            lines TEXT NOT NULL, settings TEXT NOT NULL, anchors TEXT NOT NULL, whole INTEGER NOT NULL,
            removed_utc TEXT
        )""",
        "CREATE TABLE heard (number INTEGER PRIMARY KEY REFERENCES attempts(number) ON DELETE CASCADE, packed BLOB NOT NULL)",
        """CREATE TABLE verdicts (
            id INTEGER PRIMARY KEY, number INTEGER NOT NULL REFERENCES attempts(number) ON DELETE CASCADE,
            version TEXT NOT NULL, settings TEXT NOT NULL, summary TEXT NOT NULL,
            UNIQUE (number, version, settings)
        )""",
        "CREATE INDEX attempts_by_score ON attempts (score_digest, started_utc)",
        "CREATE INDEX verdicts_by_attempt ON verdicts (number)",
    ):
        connection.execute(statement)


def history(connection: sqlite3.Connection) -> None:
    """What was around each take, exercises by their bars, what each line came to, verdicts made before, beats overruled."""
    for statement in (
        "ALTER TABLE attempts ADD COLUMN beside TEXT NOT NULL DEFAULT '{}'",
        """CREATE TABLE versions (
            music_digest TEXT PRIMARY KEY, exercise INTEGER NOT NULL, title TEXT NOT NULL, parts INTEGER NOT NULL,
            species TEXT NOT NULL, mode TEXT NOT NULL, bars TEXT NOT NULL
        ) WITHOUT ROWID""",
        "CREATE INDEX versions_by_exercise ON versions (exercise)",
        """CREATE TABLE version_bars (
            digest TEXT NOT NULL, music_digest TEXT NOT NULL REFERENCES versions(music_digest) ON DELETE CASCADE,
            PRIMARY KEY (digest, music_digest)
        ) WITHOUT ROWID""",
        "CREATE INDEX version_bars_by_version ON version_bars (music_digest)",
        """CREATE TABLE outcomes (
            number INTEGER NOT NULL REFERENCES attempts(number) ON DELETE CASCADE, position INTEGER NOT NULL,
            exercise INTEGER NOT NULL, music_digest TEXT NOT NULL, line INTEGER NOT NULL, voice TEXT NOT NULL,
            source TEXT NOT NULL, started_utc TEXT NOT NULL, mark TEXT NOT NULL, company TEXT NOT NULL, guide TEXT NOT NULL,
            part TEXT NOT NULL, seconds INTEGER NOT NULL, notes INTEGER NOT NULL, judged INTEGER NOT NULL,
            held INTEGER NOT NULL, pulled INTEGER NOT NULL, lowest INTEGER, highest INTEGER, drift_cents INTEGER,
            PRIMARY KEY (number, position)
        ) WITHOUT ROWID""",
        "CREATE INDEX outcomes_by_line ON outcomes (exercise, line, number)",
        "CREATE INDEX outcomes_by_time ON outcomes (started_utc)",
        """CREATE TABLE bar_outcomes (
            number INTEGER NOT NULL, position INTEGER NOT NULL, bar INTEGER NOT NULL, judged INTEGER NOT NULL,
            held INTEGER NOT NULL, cause TEXT NOT NULL, pulled_to TEXT NOT NULL, PRIMARY KEY (number, position, bar),
            FOREIGN KEY (number, position) REFERENCES outcomes(number, position) ON DELETE CASCADE
        ) WITHOUT ROWID""",
        """CREATE TABLE tried (
            number INTEGER NOT NULL, position INTEGER NOT NULL, spot TEXT NOT NULL, tried INTEGER NOT NULL,
            failed INTEGER NOT NULL, PRIMARY KEY (number, position, spot),
            FOREIGN KEY (number, position) REFERENCES outcomes(number, position) ON DELETE CASCADE
        ) WITHOUT ROWID""",
        """CREATE TABLE judged_before (
            number INTEGER NOT NULL REFERENCES attempts(number) ON DELETE CASCADE, judge TEXT NOT NULL,
            settings TEXT NOT NULL, packed BLOB NOT NULL, PRIMARY KEY (number, settings)
        ) WITHOUT ROWID""",
        """CREATE TABLE overrulings (
            id INTEGER PRIMARY KEY, number INTEGER NOT NULL REFERENCES attempts(number) ON DELETE CASCADE,
            position INTEGER NOT NULL, bar INTEGER NOT NULL, beat TEXT NOT NULL, sign TEXT NOT NULL, reason TEXT NOT NULL,
            made_utc TEXT NOT NULL
        )""",
        "CREATE INDEX overrulings_by_attempt ON overrulings (number)",
    ):
        connection.execute(statement)


def rehearsals(connection: sqlite3.Connection) -> None:
    """A section's rehearsals, a leader's own notes on bars, and what is added to a file's bar numbers to have the copies'."""
    for statement in (
        """CREATE TABLE rehearsals (
            key TEXT PRIMARY KEY, music_digest TEXT NOT NULL, title TEXT NOT NULL, line INTEGER NOT NULL,
            started_utc TEXT NOT NULL, changed_utc TEXT NOT NULL, plan TEXT NOT NULL
        ) WITHOUT ROWID""",
        "CREATE INDEX rehearsals_by_music ON rehearsals (music_digest, line, changed_utc)",
        """CREATE TABLE bar_notes (
            music_digest TEXT NOT NULL, bar INTEGER NOT NULL, title TEXT NOT NULL, bar_digest TEXT NOT NULL, words TEXT NOT NULL,
            PRIMARY KEY (music_digest, bar)
        ) WITHOUT ROWID""",
        "CREATE TABLE copies (music_digest TEXT PRIMARY KEY, bars_added INTEGER NOT NULL) WITHOUT ROWID",
    ):
        connection.execute(statement)


STEPS: tuple[tuple[str, Step], ...] = (
    ("first tables", first_tables),
    ("history", history),
    ("rehearsals", rehearsals),
)


def newest() -> int:
    """The version that this program writes."""
    return len(STEPS)


def version_of(connection: sqlite3.Connection) -> int:
    """The version that the database has; 0 for an empty one."""
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def migrate(connection: sqlite3.Connection) -> None:
    """Take every step that the database has not taken. Two programs at once each take a step once."""
    for number in range(version_of(connection) + 1, newest() + 1):
        name, step = STEPS[number - 1]
        connection.execute("BEGIN IMMEDIATE")
        try:
            if version_of(connection) < number:  # another program may have taken it while this one waited
                connection.execute("CREATE TABLE IF NOT EXISTS steps (number INTEGER PRIMARY KEY, name TEXT NOT NULL)")
                step(connection)
                connection.execute("INSERT INTO steps VALUES (?, ?)", (number, name))
                connection.execute(f"PRAGMA user_version = {number:d}")
            connection.execute("COMMIT")
        except BaseException:
            with contextlib.suppress(sqlite3.Error):  # a full disk may have rolled back by itself
                connection.execute("ROLLBACK")
            raise
