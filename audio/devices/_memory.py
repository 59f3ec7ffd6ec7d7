"""A piece of memory for a parent and its child.

``multiprocessing.shared_memory`` is not used: before Python 3.13 a child that attaches to it by name takes it away from everybody
when it ends. Linux gives memory without a name and the child inherits it; elsewhere a file in the folder for temporary files
stands in, written out in full so that a full disk is an error now and not a fault later.

Imported by the child process: standard library only.
"""

from __future__ import annotations

import contextlib
import mmap
import os
import sys
import tempfile


class Memory:
    """Made by the parent; ``token`` lets the child find it."""

    def __init__(self, size: int) -> None:
        self._path = ""
        if sys.platform == "linux":
            handle = os.memfd_create("heldline")
            os.ftruncate(handle, size)
            self.token, self.inherited = f"handle:{handle}", (handle,)
        else:
            handle, self._path = tempfile.mkstemp(prefix="heldline-")
            self.token, self.inherited = f"file:{self._path}", ()
            try:
                for _ in range(-(-size // 65536)):
                    os.write(handle, bytes(65536))
            except OSError:
                os.close(handle)
                self.forget_name()
                raise
        self.map = mmap.mmap(handle, size)
        self._handle = handle

    def forget_name(self) -> None:
        """Once the child has it; where an open file cannot be removed, ``close`` tries again."""
        if self._path:
            with contextlib.suppress(OSError):
                os.unlink(self._path)
                self._path = ""

    def close(self) -> None:
        """Let it go; what still looks into it keeps it until it is gone itself."""
        if self._handle >= 0:
            os.close(self._handle)
            self._handle = -1
        self.forget_name()


def inherited(token: str, size: int) -> mmap.mmap:
    """The child's view of it."""
    kind, _, where = token.partition(":")
    if kind == "handle":
        return mmap.mmap(int(where), size)
    handle = os.open(where, os.O_RDWR | getattr(os, "O_BINARY", 0))
    try:
        return mmap.mmap(handle, size)
    finally:
        os.close(handle)
