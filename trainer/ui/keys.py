"""Keys typed on the terminal become commands. Single letters, no chords, no time limits; what a question asks for ends with Enter."""

from __future__ import annotations

import codecs
import re
from collections.abc import Callable, Mapping

MORE_KEY = "v"
"""Its other meanings wait while a page of keys is shown."""

BY_KEY = {
    " ": "go",
    "\r": "go",
    "\n": "go",
    "p": "pause",
    "r": "again",
    "n": "note",
    "o": "octave",
    "c": "click",
    "g": "guide",
    "m": "mute",
    "b": "bars",
    "t": "tempo",
    "-": "slower",
    "+": "faster",
    "w": "why",
    "l": "listen",
    MORE_KEY: "more",
    "<": "easier",
    ">": "harder",
    "?": "help",
    "h": "help",
    "q": "quit",
    "\x1b": "quit",
    "\x04": "quit",
    **{degree: degree for degree in "1234567"},
}
_SEQUENCE = re.compile("\x1b(?:\\[[0-9;?]*[ -/]*[@-~]|O.)")  # arrows and function keys: none of ours
LONGEST_ANSWER = 40


class Typed:
    """Turns bytes as they come into commands.

    Parameters
    ----------
    read : callable
        Bytes that have come since the last time, b"" for none.
    keys : mapping from key to command
    """

    def __init__(self, read: Callable[[], bytes], keys: Mapping[str, str] = BY_KEY) -> None:
        self._read, self._keys = read, keys
        self._decoder = codecs.getincrementaldecoder("utf-8")("ignore")
        self.asking = self.leafing = False
        self.answer = ""

    def commands(self) -> list[str]:
        """Names of the commands given, and ``=words`` for the answer to a question."""
        text = _SEQUENCE.sub("", self._decoder.decode(self._read()))
        found = []
        for char in text:
            if self.asking:
                told = self._type(char)
                found += [] if told is None else [told]
            elif self.leafing and char.lower() == MORE_KEY:
                found.append("more")
            elif char.lower() in self._keys:
                found.append(self._keys[char.lower()])
        return found

    def _type(self, char: str) -> str | None:
        """One letter of an answer; the whole of it at Enter."""
        if char in "\r\n":
            self.asking, words, self.answer = False, self.answer, ""
            return f"={words}"
        if char == "\x1b":
            self.asking, self.answer = False, ""
            return "=\x1b"
        if char in "\x7f\b":
            self.answer = self.answer[:-1]
        elif char.isprintable() and len(self.answer) < LONGEST_ANSWER:
            self.answer += char
        return None
