"""The database's file: opened, brought up to date, written in transactions. Whatever is wrong with it becomes one LogError here, once.

SQLite with its rollback journal (no second file stays beside it, it works on network folders) and secure_delete, so that what was
deleted is overwritten.
"""

from __future__ import annotations

import contextlib
import errno
import os
import sqlite3
from collections.abc import Iterator
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from trainer.errors import LogError
from trainer.log import migrations

BUSY_MS = 5_000  # how long another program may hold the database before this one gives up


class NewerDatabase(LogError):
    """The database was written by a newer heldline; it is left as it is."""


class DamagedDatabase(LogError):
    """The file is no database, or broken inside."""


class Database:
    """An open database. A context manager; made with its folder when it is not there.

    Raises
    ------
    NewerDatabase, DamagedDatabase, LogError
        When it cannot be opened; nothing of it is changed then.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        with self._told():
            path.parent.mkdir(parents=True, exist_ok=True)
            if not path.exists():  # voices are nobody else's business
                os.close(os.open(path, os.O_CREAT | os.O_RDWR, 0o600))
        self._connection = self._opened(path)

    def _opened(self, path: Path) -> sqlite3.Connection:
        with self._told():
            connection = sqlite3.connect(path, timeout=BUSY_MS / 1000, isolation_level=None)
        try:
            with self._told():
                connection.execute("PRAGMA foreign_keys = ON")
                connection.execute("PRAGMA secure_delete = ON")
                if migrations.version_of(connection) > migrations.newest():
                    raise NewerDatabase(
                        "the database of takes was written by a newer heldline and is left as it is",
                        str(path),
                        "install the newer version again, or set HELDLINE_HOME to another folder",
                    )
                migrations.migrate(connection)
        except BaseException:
            connection.close()
            raise
        return connection

    @property
    def path(self) -> Path:
        """Where it lies."""
        return self._path

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._connection.close()

    def copy_to(self, path: Path) -> None:
        """Everything as it stands now, in another database that is not there yet; this one stays as it is."""
        with self._told():
            self._connection.execute("VACUUM INTO ?", (str(path),))

    def probe(self) -> None:
        """Touch every page that lists are made from. Raises DamagedDatabase where one is broken."""
        with self.transaction() as run:
            for table in ("scores", "attempts", "verdicts", "versions", "outcomes"):
                run(f"SELECT count(*) FROM {table} NOT INDEXED", ()).fetchall()  # noqa: S608

    def vacuum(self) -> None:
        """Leave no trace of what was deleted."""
        with self._told():
            self._connection.execute("VACUUM")

    @contextlib.contextmanager
    def transaction(self) -> Iterator[Any]:
        """Give ``execute``; everything inside holds together or not at all."""
        with self._told():
            self._connection.execute("BEGIN IMMEDIATE")
            try:
                yield self._connection.execute
                self._connection.execute("COMMIT")
            except BaseException:
                with contextlib.suppress(sqlite3.Error):  # a full disk may have rolled back by itself
                    self._connection.execute("ROLLBACK")
                raise

    @contextlib.contextmanager
    def _told(self) -> Iterator[None]:
        """SQLite's and the system's errors become LogErrors."""
        where = str(self._path)
        try:
            yield
        except sqlite3.OperationalError as err:
            raise _operational(err, where) from err
        except sqlite3.DatabaseError as err:
            raise DamagedDatabase("the database of takes is damaged", where, "see heldline takes") from err
        except OSError as err:
            if err.errno in (errno.ENOSPC, errno.EDQUOT):
                raise LogError("the disk is full: nothing goes into the database of takes", where, "make room") from err
            raise LogError(
                f"takes cannot be kept here: {(err.strerror or str(err)).lower()}",
                where,
                "choose another folder with HELDLINE_HOME",
            ) from err


def _operational(err: sqlite3.OperationalError, where: str) -> LogError:
    text = str(err)
    if "full" in text:
        return LogError("the disk is full: nothing goes into the database of takes", where, "make room")
    if "locked" in text:
        return LogError("another program holds the database of takes", where, "close it; the take waits until then")
    if "readonly" in text or "unable to open" in text:
        return LogError(
            "takes cannot be kept here: it may not be written", where, "choose another folder with HELDLINE_HOME"
        )
    return LogError(f"the database of takes cannot be used: {text}", where, "choose another folder with HELDLINE_HOME")
