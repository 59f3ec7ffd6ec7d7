"""A section that divides into an upper and a lower line, all at one microphone: one middle for each line. Nobody is told apart.

Whole cents. A line's figure is that of a crowd, over the notes where both lines are long and at least a third apart.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from trainer.judge.crowd import centre_of

THIRD_SEMITONES = 3
"""Nearer together the two middles are not told apart (a minor third; two sections of usual spread run into each other from there on)."""

MISSING, UNSURE, HEARD = "missing", "unsure", "heard"
MISSING_SHARE = 4
"""A line heard in fewer than one note of so many is missing: simulated, one note in some 280 seems heard that nobody sings."""


@dataclass(frozen=True, slots=True)
class HalfNote:
    """One line in one place: what was written, "heard", "missing" or "unsure", and its middle where it was heard."""

    expected: str
    sign: str
    centre_cents: int | None = None


@dataclass(frozen=True, slots=True)
class DividedNote:
    """A place where both lines hold notes that differ."""

    bar: int
    beat: Fraction
    printed_bar: str
    upper: HalfNote
    lower: HalfNote


@dataclass(frozen=True, slots=True)
class Half:
    """One line over the take.

    Parameters
    ----------
    voice : str
        What the file calls it: of two lines of one part no trade name tells which.
    sign : str
        "heard", "missing", or "unsure" where no note could be told.
    heard, told : int
        Notes that were heard, of those that could be told.
    centre_cents : int or None
    """

    voice: str
    sign: str
    heard: int
    told: int
    centre_cents: int | None


@dataclass(frozen=True, slots=True)
class DividedTake:
    """Both lines of a divided section."""

    notes: tuple[DividedNote, ...]
    upper: Half
    lower: Half


def divided_take(notes: Sequence[DividedNote], upper: str, lower: str) -> DividedTake:
    """The take from its notes; *upper* and *lower* are what the score calls the lines."""
    return DividedTake(
        tuple(notes), _half(upper, [note.upper for note in notes]), _half(lower, [note.lower for note in notes])
    )


def _half(voice: str, notes: list[HalfNote]) -> Half:
    told = sum(note.sign != UNSURE for note in notes)
    centres = [note.centre_cents for note in notes if note.centre_cents is not None]
    if not told:
        return Half(voice, UNSURE, 0, 0, None)
    if MISSING_SHARE * len(centres) < told:
        return Half(voice, MISSING, len(centres), told, None)
    return Half(voice, HEARD, len(centres), told, centre_of(centres))
