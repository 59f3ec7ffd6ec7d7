"""Commands as lines, for those who have no screen drawn: a key and Enter, or Enter alone to begin and to stop."""

from __future__ import annotations

import os
import select
import sys
from collections.abc import Callable, Mapping

from trainer.ui.keys import LONGEST_ANSWER


class TypedLines:
    """Turns bytes as they come into commands, line by line.

    Parameters
    ----------
    read : callable
        Bytes that have come since the last time, b"" for none, None once there will be no more.
    keys : mapping from key to command
    """

    def __init__(self, read: Callable[[], bytes | None], keys: Mapping[str, str]) -> None:
        self._read, self._keys = read, keys
        self._waiting = b""
        self.asking = False

    def commands(self) -> list[str]:
        """Names of the commands of one line, or ``=words`` for the answer to a question; "quit" at the end of all lines.

        One line at a time: whether the next one is an answer is known only once this one has been followed.
        """
        came = self._read()
        self._waiting += came or b""
        line, end, rest = self._waiting.partition(b"\n")
        if not end:
            return ["quit"] if came is None else []
        self._waiting = rest
        return self._commands_of(line.decode("utf-8", "ignore").strip())

    def _commands_of(self, words: str) -> list[str]:
        if self.asking:
            self.asking = False
            return [f"={words[:LONGEST_ANSWER]}"]
        if not words:
            return ["go"]
        return [self._keys[key] for key in words.lower() if key in self._keys]


def stdin_as_it_comes() -> bytes | None:
    """What was typed since the last time; None at its end."""
    try:
        there = sys.stdin.fileno()
        if not select.select([there], [], [], 0)[0]:
            return b""
        return os.read(there, 4096) or None
    except (OSError, ValueError, AttributeError):  # closed, or none at all
        return None
