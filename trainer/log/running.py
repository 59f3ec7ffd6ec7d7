"""A take under way, written down as it is heard, so that a stopped program loses no more than a second.

One append-only file a take (``records``). It holds a lock that the system drops when the program dies, however it dies; a file without
its lock is left over and is taken into the database by whoever starts next.
"""

from __future__ import annotations

import contextlib
import errno
import os
import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import BinaryIO

from audio.heard import Heard
from trainer.errors import LogError
from trainer.log.attempt import Attempt
from trainer.log.locks import NO_WAIT, WAIT, lock
from trainer.log.records import header, packed, read_running

FLUSH_SECONDS = 0.5  # twice as often as the second that may be lost
SUFFIX = ".take"
WHOLE_SUFFIX = f".whole{SUFFIX}"
"""Of a take that was heard to its end and waits for a database that would not take it."""


class Running:
    """The file of one take under way.

    Parameters
    ----------
    folder : Path
    attempt : Attempt
        With nothing heard yet.
    now_seconds : callable
        A clock that never goes back.

    Raises
    ------
    LogError
        When the file cannot be made.
    """

    def __init__(self, folder: Path, attempt: Attempt, now_seconds: Callable[[], float] = time.monotonic) -> None:
        self.path = folder / f"{attempt.key}{SUFFIX}"
        self._now_seconds = now_seconds
        self._failures: list[LogError] = []
        with _told(self.path):
            folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            # unbuffered below our own buffer, so that a flush is one write
            self._file = os.fdopen(os.open(self.path, os.O_CREAT | os.O_EXCL | os.O_RDWR, 0o600), "wb", buffering=0)
            lock(self._file, patience=WAIT)  # a start that looks for left-over takes may hold it for a moment
        self._waiting = bytearray(header(attempt))
        self._flush()
        if self._failures:
            self.drop()
            raise self._failures[0]

    def keep(self, heard: Iterable[Heard]) -> Iterator[Heard]:
        """The same records, each written down before it is given on."""
        for record in heard:
            self.write(record)
            yield record

    def write(self, record: Heard) -> None:
        """Write one record; on the disk half a second later. A disk that fails is kept for :attr:`failure`, not raised."""
        if self._failures:
            return
        self._waiting += packed(record)
        if self._now_seconds() - self._flushed >= FLUSH_SECONDS:
            self._flush()

    @property
    def failure(self) -> LogError | None:
        """Why the take could not be written down to its end; None when all is well."""
        return self._failures[0] if self._failures else None

    def written(self) -> tuple[Heard, ...]:
        """What the next start would find."""
        os.lseek(self._file.fileno(), 0, os.SEEK_SET)
        attempt = read_running(os.read(self._file.fileno(), os.fstat(self._file.fileno()).st_size))
        return attempt.heard if attempt is not None else ()

    def close(self) -> None:
        """Write what waits and let go of the file, which stays for the next start."""
        self._flush()
        self._file.close()

    def wait(self) -> bool:
        """The same for a take that was heard to its end, so that the next start tells it from a stopped one.

        False, and nothing is let go of, if the disk did not take it all.
        """
        self._flush()
        if self._failures:
            return False
        named = self.path.with_name(f"{self.path.name.removesuffix(SUFFIX)}{WHOLE_SUFFIX}")
        _let_go(self._file, lambda: self.path.rename(named))
        return True

    def drop(self) -> None:
        """Let go of the file and delete it: the take is in the database, or nobody wants it."""
        _let_go(self._file, self.path.unlink)

    def _flush(self) -> None:
        self._flushed = self._now_seconds()
        try:
            while self._waiting:
                del self._waiting[: self._file.write(self._waiting)]
        except OSError as err:
            self._failures.append(_error(err, self.path))
            self._waiting.clear()


@dataclass(frozen=True, slots=True)
class LeftOver:
    """A file that no running program holds; *attempt* is None when it is too damaged to read."""

    path: Path
    attempt: Attempt | None
    file: BinaryIO
    """Held with its lock until the caller is done, or has deleted it or put it aside."""

    def drop(self) -> None:
        """Delete it: the take is in the database."""
        _let_go(self.file, self.path.unlink)

    def put_aside(self) -> Path:
        """Under another name, which is given, it is not found again."""
        aside = self.path.with_suffix(".unreadable")
        _let_go(self.file, lambda: os.replace(self.path, aside))
        return aside


@contextlib.contextmanager
def left_over(folder: Path) -> Iterator[Iterator[LeftOver]]:
    """Every take that a stopped program left behind, each locked while it is looked at; drop it once it is safe."""
    opened: list[BinaryIO] = []

    def found() -> Iterator[LeftOver]:
        """One after the other, each opened and locked only when its turn comes."""
        for path in sorted(folder.glob(f"*{SUFFIX}")) if folder.is_dir() else []:
            try:
                file = open(path, "r+b")  # noqa: SIM115 - held until the caller is done, closed below
            except OSError:
                continue
            opened.append(file)
            try:
                lock(file, patience=NO_WAIT)
            except OSError:
                continue  # its program is at work
            content = file.read()
            # no path: another start took it between the two calls; no content: its program has only just made it
            if path.exists() and content:
                attempt = read_running(content)
                if attempt is not None and path.name.endswith(WHOLE_SUFFIX):
                    attempt = replace(attempt, whole=True)
                yield LeftOver(path, attempt, file)

    try:
        yield found()
    finally:
        for file in opened:
            file.close()


def _let_go(file: BinaryIO, leave: Callable[[], object]) -> None:
    """Delete or rename a file under its lock, then let go of it; where a system does neither to an open file (Windows), right after."""
    try:
        leave()
    except OSError:
        file.close()
        with contextlib.suppress(OSError):
            leave()
    file.close()


@contextlib.contextmanager
def _told(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as err:
        raise _error(err, path) from err


def _error(err: OSError, path: Path) -> LogError:
    if err.errno in (errno.ENOSPC, errno.EDQUOT):
        return LogError("the disk is full: the take cannot be written down", str(path.parent), "make room")
    return LogError(
        f"the take cannot be kept: {(err.strerror or str(err)).lower()}",
        str(path.parent),
        "choose another folder with HELDLINE_HOME",
    )
