"""How a report may look on one stream: width, letters, colour, plain or drawn. Decided once, then only read.

Colour tells the kind of remark and never stands alone. The four colours are those that people with any colour vision tell apart
(Okabe and Ito, Color Universal Design, 2002; their codes from memory). ``NO_COLOR``, ``FORCE_COLOR`` and ``CLICOLOR_FORCE`` as their
conventions have them (no-color.org, force-color.org, bixense.com/clicolors; from memory): set and not empty.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TextIO

NARROWEST, USUAL_WIDTH, WIDEST = 40, 80, 120
"""Columns. Lines longer than 120 letters are hard to follow whatever the screen holds."""

FULL = {"tuning": "38;2;0;114;178", "note": "38;2;213;94;0", "time": "38;2;204;121;167", "nothing": "2", "head": "1"}
SIXTEEN = {"tuning": "34", "note": "33", "time": "1", "nothing": "7", "head": "1"}
COLOURS: dict[str, dict[str, str]] = {"none": {}, "sixteen": SIXTEEN, "full": FULL}

_LETTERS = "●○◊×−·’"  # all that a report uses beyond ASCII


@dataclass(frozen=True, slots=True)
class Look:
    """What one stream can show.

    Parameters
    ----------
    width : int
        Columns.
    colours : str
        "none", "sixteen" or "full".
    letters : str
        "all" or "ascii".
    form : str
        "drawn", or "plain": one line a bar, label first, nothing drawn.
    """

    width: int = USUAL_WIDTH
    colours: str = "none"
    letters: str = "all"
    form: str = "drawn"

    def paint(self, text: str, kind: str) -> str:
        """*text* in the colour of its kind of remark."""
        code = COLOURS[self.colours].get(kind)
        return f"\x1b[{code}m{text}\x1b[0m" if code and text.strip() else text


def look_of(
    stream: TextIO, *, color: str = "auto", plain: bool = False, environ: Mapping[str, str] = os.environ
) -> Look:
    """The look of *stream*; an option outweighs the surroundings, those the kind of stream."""
    dumb = environ.get("TERM") == "dumb"
    form = "plain" if plain or dumb or _said(environ, "ACCESSIBLE") else "drawn"
    return Look(_width(stream, environ), _colours(stream, color, dumb, environ), _letters(stream), form)


def _said(environ: Mapping[str, str], name: str) -> bool:
    return environ.get(name, "") not in ("", "0")


def _width(stream: TextIO, environ: Mapping[str, str]) -> int:
    told = environ.get("COLUMNS", "")
    if told.isdecimal() and 0 < int(told) < 10_000:
        width = int(told)
    else:
        width = shutil.get_terminal_size((USUAL_WIDTH, 24)).columns if stream.isatty() else USUAL_WIDTH
    return max(NARROWEST, min(width, WIDEST))


def _colours(stream: TextIO, color: str, dumb: bool, environ: Mapping[str, str]) -> str:
    wanted = color == "always"
    if color == "auto":
        if environ.get("NO_COLOR"):
            return "none"
        forced = _said(environ, "FORCE_COLOR") or _said(environ, "CLICOLOR_FORCE")
        wanted = forced or (stream.isatty() and not dumb)
    if not wanted:
        return "none"
    return "full" if environ.get("COLORTERM", "").lower() in ("truecolor", "24bit") else "sixteen"


def _letters(stream: TextIO) -> str:
    try:
        _LETTERS.encode(getattr(stream, "encoding", None) or "ascii")
    except (UnicodeEncodeError, LookupError):
        return "ascii"
    return "all"
