"""One note token of kern as plain values.

Source: D. Huron, The Humdrum Toolkit: Reference Manual, 1994, kern: a duration is the part of a whole note that it is (4 a quarter, 0
a breve, 00 a long), middle C is c, an octave higher doubles the small letter, one lower the capital.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from trainer.formats._written import Ticks, Unreadable, in_ticks
from trainer.score.pitch import Pitch

MOST_DOTS = 6

_VALUE = re.compile(r"(\d{1,5})(?:%(\d{1,5}))?")
_LETTERS = re.compile(r"([A-Ga-g])\1*")
_SIGNS = re.compile(r"#+|-+|n")


@dataclass(frozen=True, slots=True)
class Token:
    """A note or rest; ``pitch`` is None for a rest, ``length`` None where a chord's later note does not repeat it."""

    length: Ticks | None
    pitch: Pitch | None
    grace: bool
    tie_from_before: bool
    tie_on: bool
    breath: bool


@lru_cache(maxsize=4096)  # a piece has few kinds of note
def token_of(text: str) -> Token:
    """The note or rest that *text* writes. Raises Unreadable."""
    grace = "q" in text or "Q" in text
    rest = "r" in text
    return Token(
        _length(text),
        None if rest else _pitch(text),
        grace,
        "]" in text or "_" in text,
        "[" in text or "_" in text,
        "," in text,
    )


def _length(text: str) -> Ticks | None:
    match = _VALUE.search(text)
    if match is None:
        return None
    figure, over = match.groups()
    if figure.strip("0"):
        quarters = Fraction(4 * int(over or 1), int(figure))
    else:
        if len(figure) > 3:
            raise Unreadable(f"{figure!r} is not a note value")
        quarters = Fraction(4 * 2 ** len(figure))
    dots = text.count(".")
    if dots > MOST_DOTS or quarters <= 0:
        raise Unreadable(f"{text[:20]!r} is not a note value")
    return in_ticks(quarters * (2 - Fraction(1, 2**dots)))


def _pitch(text: str) -> Pitch:
    match = _LETTERS.search(text)
    if match is None:
        raise Unreadable(f"{text[:20]!r} has neither a pitch nor the r of a rest")
    letters = match[0]
    octave = 3 + len(letters) if letters.islower() else 4 - len(letters)
    sign = _SIGNS.match(text, match.end())
    alter = 0 if sign is None else sign[0].count("#") - sign[0].count("-")
    try:
        pitch = Pitch(letters[0].upper(), alter, octave)
    except ValueError as err:
        raise Unreadable(f"{text[:20]!r}: {err}") from err
    if not 0 <= pitch.midi <= 127:
        raise Unreadable(f"{text[:20]!r} cannot be sounded")
    return pitch
