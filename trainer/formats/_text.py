"""Bytes to text for the formats that are text."""

from __future__ import annotations

import codecs

from trainer.errors import ScoreError

_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)


def decoded(content: bytes, path: str) -> str:
    """The text in *content*: UTF-8, or UTF-16 with its byte order mark. Raises ScoreError."""
    encoding = next((name for mark, name in _MARKS if content.startswith(mark)), "utf-8")
    try:
        text = content.decode(encoding)
    except UnicodeDecodeError as err:
        raise ScoreError(
            f"the file is not UTF-8 text (byte {err.start} cannot be read)", path, "save it as UTF-8 text"
        ) from err
    if "\x00" in text:
        raise ScoreError("the file is not text: it holds zero bytes", path, "save it as UTF-8 text")
    return text


LARGEST_OLD_BYTES = 1_000_000
"""Twelve times the largest string quartet in kern."""


def decoded_old(content: bytes, path: str) -> str:
    """The text in *content* of a format that is older than UTF-8: what is not that is taken for Latin-1. Raises ScoreError."""
    if len(content) > LARGEST_OLD_BYTES:
        raise ScoreError(
            f"the file is larger than {LARGEST_OLD_BYTES // 1000} kB, too large for an exercise",
            path,
            "cut it to the exercise",
        )
    try:
        content.decode("utf-8")
    except UnicodeDecodeError:
        if not content.startswith(tuple(mark for mark, _ in _MARKS)):
            content = content.decode("latin-1").encode()
    return decoded(content, path)


def bars_words(count: int) -> str:
    """``1 bar``, ``2 bars``."""
    return f"{count} bar{'' if count == 1 else 's'}"
