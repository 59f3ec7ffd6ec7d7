"""A file's lock, which the system drops when the program that holds it dies, however it dies."""

from __future__ import annotations

import sys
from typing import BinaryIO

WAIT, NO_WAIT = "wait", "no wait"


def lock(file: BinaryIO, *, patience: str) -> None:
    """Take the file's lock; with no patience OSError when another program has it."""
    if sys.platform == "win32":  # one byte far beyond the end, so that reading is not hindered
        import msvcrt

        file.seek(1 << 40)
        msvcrt.locking(file.fileno(), msvcrt.LK_LOCK if patience == WAIT else msvcrt.LK_NBLCK, 1)
        file.seek(0)
    else:
        import fcntl

        fcntl.flock(file, fcntl.LOCK_EX if patience == WAIT else fcntl.LOCK_EX | fcntl.LOCK_NB)
