"""A disk that is nearly full: a small one mounted where that is allowed (root on Linux), else the same refusals made by hand."""

from __future__ import annotations

import contextlib
import errno
import os
import sqlite3
import subprocess
from collections.abc import Iterator
from pathlib import Path
from unittest import mock

PAGE = 4096


@contextlib.contextmanager
def nearly_full(folder: Path, *, room_pages: int) -> Iterator[None]:
    """*folder* with room for so many pages of 4096 bytes while inside; afterwards it is empty or gone."""
    folder.mkdir(exist_ok=True)
    with contextlib.suppress(OSError):
        made = subprocess.run(
            ["mount", "-t", "tmpfs", "-o", "size=512k", "none", folder], capture_output=True, check=False
        )
        if made.returncode == 0:
            try:
                (folder / "filler").write_bytes(b"x" * PAGE * (os.statvfs(folder).f_bavail - room_pages))
                yield
            finally:
                subprocess.run(["umount", folder], check=True)
            return
    with by_hand(room_pages):
        yield


@contextlib.contextmanager
def by_hand(room_pages: int) -> Iterator[None]:
    """SQLite may use so many pages (it then says SQLITE_FULL, as on a full disk); takes under way get ENOSPC after as many."""
    from trainer.log import running

    real_connect, real_flush, written = sqlite3.connect, running.Running._flush, [0]

    def connect(*args: object, **options: object) -> sqlite3.Connection:
        connection: sqlite3.Connection = real_connect(*args, **options)  # type: ignore[arg-type, call-overload]
        connection.execute(f"PRAGMA max_page_count = {room_pages}")
        return connection

    class Full:
        """A file on a full disk."""

        def __init__(self, real: object) -> None:
            self._real = real

        def write(self, _: bytes) -> int:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

        def __getattr__(self, name: str) -> object:
            return getattr(self._real, name)

    def flush(self: running.Running) -> None:
        written[0] += len(self._waiting)
        if written[0] > room_pages * PAGE and not isinstance(self._file, Full):
            self._file = Full(self._file)  # type: ignore[assignment]
        real_flush(self)

    with mock.patch("sqlite3.connect", connect), mock.patch.object(running.Running, "_flush", flush):
        yield
