"""A terminal of our own in which heldline runs, each change of its screen with its time; tmux tells what, this tells when."""

from __future__ import annotations

import fcntl
import os
import pty
import re
import struct
import subprocess
import sys
import termios
import threading
import time
from collections.abc import Callable, Mapping
from types import TracebackType
from typing import Self

ROW = re.compile("\x1b\\[(\\d+);1H\x1b\\[K([^\x1b]*)")
CODES = re.compile("\x1b\\[[0-9;?]*[a-zA-Z]")


class PtyScreen:
    """One heldline command at a terminal of 80 by 24; a context manager.

    ``changes`` holds (``time.monotonic_ns``, rows from 1) for each time something was written to its screen, ``told`` whatever it wrote.
    """

    def __init__(self, words: tuple[object, ...], env: Mapping[str, str]) -> None:
        self.changes: list[tuple[int, dict[int, str]]] = []
        self.told = ""
        self._ours, theirs = pty.openpty()
        fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        self.began_ns = time.monotonic_ns()
        self.process = subprocess.Popen(
            [sys.executable, "-m", "trainer", *(str(word) for word in words), "--color", "never"],
            env={**env, "TERM": "xterm-256color", "LANG": "C.UTF-8"},
            stdin=theirs,
            stdout=theirs,
            stderr=subprocess.PIPE,
            start_new_session=True,
        )
        os.close(theirs)
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.process.kill()
        self.process.communicate()
        self._reader.join(5)
        os.close(self._ours)

    def type(self, keys: str) -> int:
        """Press them; when."""
        os.write(self._ours, keys.encode())
        return time.monotonic_ns()

    def first_ns(self, true: Callable[[str], bool]) -> int | None:
        """When the screen first was so."""
        return next((ns for ns, rows in list(self.changes) if true("\n".join(rows.values()))), None)

    def wait(self, true: Callable[[], bool], what: str, seconds: float = 60.0) -> int:
        """When it was so; raises with what is seen."""
        until = time.monotonic() + seconds
        while not true():
            if time.monotonic() > until or (self.process.poll() is not None and not true()):
                raise TimeoutError(f"no {what}: {self.told[-600:]}")
            time.sleep(0.005)
        return time.monotonic_ns()

    def shows(self, text: str, seconds: float = 60.0) -> int:
        """Wait for a text on the screen or, before there is one, in what was written; when it came."""
        return self.wait(lambda: text in self.told, repr(text), seconds)

    def _read(self) -> None:
        rows: dict[int, str] = {}
        while True:
            try:
                got = os.read(self._ours, 1 << 16)
            except OSError:
                return
            if not got:
                return
            now, text = time.monotonic_ns(), got.decode(errors="replace")
            if "\x1b[2J" in text:
                rows = {}
            for number, line in ROW.findall(text):
                rows[int(number)] = line
            self.told += CODES.sub("", text) + "\n"
            self.changes.append((now, dict(sorted(rows.items()))))
