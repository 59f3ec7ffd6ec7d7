"""Readers and writers of scores, one file a format; the only door from files to :class:`~trainer.score.model.Score`.

Conventions: a reader takes bytes and the path that they came from (for messages), never opens anything, and raises
:class:`~trainer.errors.ScoreError` and nothing else for whatever the bytes hold. Opening, the size limit and the choice of a
format happen here, once.
"""

from __future__ import annotations

import contextlib
import functools
import os
import stat
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from audio.registry import Registry
from trainer.errors import ScoreError
from trainer.score.model import Score

LARGEST_BYTES = 16_000_000
"""A four-voice score of a thousand bars is below 5 MB in the wordiest format; more is not an exercise."""

MOST_BARS = 5000
"""Two hours and more at any tempo; a longer count is a broken file."""

MOST_LINES = 8
"""Voices that heldline plays, hears and checks side by side."""


@dataclass(frozen=True, slots=True)
class Format:
    """One way of writing a score down.

    Parameters
    ----------
    name : str
        As said to people: "drill text".
    suffixes : tuple of str
        Lower case with the dot; the first is the usual one.
    sniff : callable
        Whether bytes look like this format, for a file with no known ending.
    read : callable
        Bytes and the path for messages to a Score; raises ScoreError only.
    write : callable or None
        A Score to bytes; None when the format is only read.
    """

    name: str
    suffixes: tuple[str, ...]
    sniff: Callable[[bytes], bool]
    read: Callable[[bytes, str], Score]
    write: Callable[[Score], bytes] | None = None


FORMATS: Registry[Format] = Registry("score formats")


@functools.cache
def formats() -> Registry[Format]:
    """Every format, its module loaded."""
    return FORMATS.load(__name__)


def known_suffixes() -> tuple[str, ...]:
    """Every ending that some format reads."""
    table = formats()
    return tuple(suffix for name in table for suffix in table[name].suffixes)


def read_path(path: Path | str) -> Score:
    """The score in a file.

    Raises
    ------
    ScoreError
        For everything that can go wrong: no such file, not a file, too big, not a score, broken inside.
    """
    where = str(path)
    content = read_bytes(path)
    return _format_for(Path(path), content, where).read(content, where)


def read_bytes(path: Path | str) -> bytes:
    """What stands in a file that may be a score. Raises ScoreError when it cannot be opened, is empty or too big."""
    return _content(Path(path), str(path))


def write_path(score: Score, path: Path | str) -> None:
    """Write *score* in the format of the path's ending, whole or not at all. Raises ScoreError."""
    target = Path(path)
    chosen = _by_suffix(target)
    if chosen is None or chosen.write is None:
        table = formats()
        writable = sorted(s for name in table if table[name].write for s in table[name].suffixes)
        raise ScoreError(
            f"heldline does not write files ending in {target.suffix or 'nothing'}",
            str(path),
            f"end the name in one of {', '.join(writable)}",
        )
    content = chosen.write(score)
    beside = target.with_name(f".{target.name}.{os.getpid()}")
    try:
        beside.write_bytes(content)
        beside.replace(target)
    except (OSError, ValueError) as err:
        with contextlib.suppress(OSError, ValueError):
            beside.unlink(missing_ok=True)
        raise ScoreError(
            f"the file cannot be written: {_reason(err)}", str(path), "choose a folder that exists and may be written"
        ) from err


def refuse_many_lines(count: int, where: str) -> None:
    """Raises ScoreError for more voices than heldline takes. Every reader asks once it has told them apart."""
    if count > MOST_LINES:
        raise ScoreError(
            f"the file has {count} voices, and heldline takes up to {MOST_LINES}",
            where,
            "leave out the others in the program that made it, and export again",
        )


def refuse_many_bars(count: int, where: str) -> None:
    """Raises ScoreError for more bars than any reader takes, drill text among them."""
    if count > MOST_BARS:
        raise ScoreError(
            f"the file has {count} bars", where, f"an exercise has at most {MOST_BARS}; cut it into several files"
        )


def _by_suffix(path: Path) -> Format | None:
    table = formats()
    for name in table:
        if path.suffix.lower() in table[name].suffixes:
            return table[name]
    return None


def _format_for(path: Path, content: bytes, where: str) -> Format:
    chosen = _by_suffix(path)
    if chosen is not None:
        return chosen
    table = formats()
    for name in table:
        if table[name].sniff(content):
            return table[name]
    raise ScoreError(
        "the file is not a score that heldline reads", where, f"it reads files ending in {', '.join(known_suffixes())}"
    )


def _content(path: Path, where: str) -> bytes:
    try:
        # a pipe without a writer would block a plain open for ever
        with open(path, "rb", opener=_without_waiting) as file:
            kind = os.fstat(file.fileno())
            if not stat.S_ISREG(kind.st_mode):
                raise ScoreError("that is not a file", where, "give the path of a score, or a title of the library")
            # asking for the limit itself would lay out 16 MB for every drill
            content = file.read(min(LARGEST_BYTES, max(kind.st_size, 65_536)) + 1)
    except FileNotFoundError as err:
        raise ScoreError("there is no such file", where, "look at the spelling of the path") from err
    except (OSError, ValueError) as err:  # ValueError: a zero byte in the path
        raise ScoreError(
            f"the file cannot be opened: {_reason(err)}", where, "give the path of a score that you may read"
        ) from err
    if len(content) > LARGEST_BYTES:
        raise ScoreError(
            f"the file is larger than {LARGEST_BYTES // 1_000_000} MB, too large for a score",
            where,
            "save only the voices of the exercise from the program that made it",
        )
    if not content:
        raise ScoreError("the file is empty", where, "save the score again")
    return content


def _without_waiting(path: str, flags: int) -> int:
    return os.open(path, flags | getattr(os, "O_NONBLOCK", 0))


def _reason(err: Exception) -> str:
    return (getattr(err, "strerror", None) or str(err)).lower()
