"""A private place for what is not to be kept: gone once it is left, and where its program was killed, at the next start.

Beside each folder lies a file whose lock its program holds; a folder whose file nobody holds is swept away.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

from trainer.log.locks import NO_WAIT, WAIT, lock

SUFFIX = ".held"


@contextlib.contextmanager
def unkept(where: Path) -> Iterator[Path]:
    """A new folder inside *where*, for this user alone; where that cannot be written, among the system's temporary files."""
    sweep(where)
    with contextlib.ExitStack() as left:
        try:
            where.mkdir(parents=True, exist_ok=True, mode=0o700)
            folder = _held(where, left)
            folder.mkdir(mode=0o700)
        except OSError:
            folder = Path(left.enter_context(tempfile.TemporaryDirectory(prefix="heldline-")))
        yield folder


def sweep(where: Path) -> None:
    """Delete what a killed program left here."""
    for path in where.glob(f"*{SUFFIX}") if where.is_dir() else ():
        with contextlib.suppress(OSError):
            with path.open("r+b") as file:
                lock(file, patience=NO_WAIT)  # OSError: held by a program that is at work
                shutil.rmtree(_beside(path), ignore_errors=True)
                with contextlib.suppress(OSError):  # Windows deletes no open file
                    path.unlink()
            path.unlink(missing_ok=True)


def _held(where: Path, left: contextlib.ExitStack) -> Path:
    """The name of a folder whose file is held until *left* is left, when both go."""
    while True:
        handle, name = tempfile.mkstemp(dir=where, suffix=SUFFIX)
        path, file = Path(name), os.fdopen(handle, "r+b")
        lock(file, patience=WAIT)
        if path.exists():  # else another start has swept it between the two calls
            break
        file.close()
    left.callback(path.unlink, missing_ok=True)
    left.callback(file.close)
    left.callback(shutil.rmtree, _beside(path), ignore_errors=True)
    return _beside(path)


def _beside(path: Path) -> Path:
    return path.with_suffix("")
