"""What a slip in a drill text was probably meant to be: the writing of another country, another notation, or a slip of the finger.

German note names and syllables are as musicians say them (common practice, no source); the other notations are kern and ABC.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable

from trainer.formats._drill_words import HOLD, NOTE, REST

_SYLLABLES = {
    "do": "C",
    "ut": "C",
    "re": "D",
    "ré": "D",
    "mi": "E",
    "fa": "F",
    "sol": "G",
    "so": "G",
    "la": "A",
    "si": "B",
    "ti": "B",
}
_RESTS = ("r", "z", "x", "rest", "pause", "0", "*", "..")
_HOLDS = ("_", "~", "--", "=", "–", "—", "tie", "hold")
_SIGNS = {
    "is": "#", "isis": "##", "es": "b", "s": "b", "eses": "bb", "x": "##", "+": "#", "-": "b", "sharp": "#", "flat": "b", "♮": "", "n": "",
}  # fmt: skip
_WORD = re.compile(
    r"""
    (?P<before>[\#b^_=]*) (?P<octave>\d*) (?P<name>[A-Za-zé]+?)
    (?P<sign>isis|eses|is|es|s|sharp|flat|[\#b♮n+x-]*) (?P<after>-?\d*) (?P<late>[\#b]*) \Z
    """,
    re.VERBOSE,
)


def note_meant(text: str) -> str:
    """The word that *text* was probably meant to be, "" where nothing is near."""
    low = text.strip(" .,;:!?()[]").lower()
    if text.lower() in _RESTS or low in _RESTS:
        return REST
    if text in _HOLDS or low in _HOLDS:
        return HOLD
    match = _WORD.match(low)
    if match is None:
        return ""
    guess = _letter(match["name"]) + _sign(match) + _octave(match["octave"] or match["after"])
    return guess if NOTE.match(guess) else ""


def near(word: str, known: Iterable[str]) -> str:
    """``did you mean X?`` and a blank, or "" where no known word is near."""
    options = list(known)
    lowered = {option.lower(): option for option in options}
    found = difflib.get_close_matches(word.lower(), lowered, n=1, cutoff=0.6)
    return f"did you mean {lowered[found[0]]}?  " if found else ""


def _letter(name: str) -> str:
    if name in _SYLLABLES:
        return _SYLLABLES[name]
    # H is what German scores call B
    return {"h": "B"}.get(name, name.upper() if len(name) == 1 and name in "abcdefg" else "?")


def _sign(match: re.Match[str]) -> str:
    sign = match["sign"]
    before = match["before"].replace("^", "#").replace("_", "b").replace("=", "")
    return _SIGNS.get(sign, sign) or before or match["late"]


def _octave(figures: str) -> str:
    return figures[:2] if figures.startswith("-") else figures[:1]
