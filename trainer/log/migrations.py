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


STEPS: tuple[tuple[str, Step], ...] = (("first tables", first_tables),)


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
