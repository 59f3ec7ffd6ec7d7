"""What every reader of notation makes of its file before it is a score: parts, measures, and what stands where in each.

Conventions: places and lengths are *ticks*, a fixed number to the quarter, as whole numbers; a value that needs more (a tuplet of
eleven) is a Fraction of ticks, which adds and compares with the others exactly. Places count from the start of their measure.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache

from trainer.score.model import Key
from trainer.score.pitch import Pitch
from trainer.score.time import Meter

TICKS_A_QUARTER = 80_640
"""2^8 * 3^2 * 5 * 7: down to 1024ths, with tuplets of 3, 5, 6, 7 and 9 in whole ticks."""

LONGEST_MEASURE = 256 * TICKS_A_QUARTER
"""Sixty-four whole notes, the longest that a meter can be; more is a file without bar lines."""

Ticks = int | Fraction


class Unreadable(Exception):
    """Something that the format does not allow or nobody can sing; the caller adds the place."""


@dataclass(slots=True)
class Written:
    """A note as written, one sign to a note; ``pitch`` is as it sounds, ``line`` where it stood in a file of lines."""

    at: Ticks
    length: Ticks
    pitch: Pitch
    staff: str = "1"
    voice: str = "1"
    tie_from_before: bool = False
    tie_on: bool = False
    breath: bool = False
    lyrics: tuple[tuple[str, str], ...] = ()
    line: int = 0


@dataclass(slots=True)
class Measure:
    """One written measure of all parts.

    Parameters
    ----------
    printed : str
        Its number in the file, "" for none.
    implicit : bool
        The file says that it does not count, as a pickup.
    meter : Meter or None
        None where the one before goes on.
    unmetered : bool
        The file says that there is no meter from here on.
    keys, tempi : dict
        Changes by their place.
    filled : int or Fraction
        Ticks that the fullest part takes.
    repeat_from, repeat_times
        A repeated section begins here; one ends here, and is sung so many times.
    ending_starts, ending_stops
        The times through for which an ending is, at its first measure; and its last measure.
    segno, coda
        The signs at its start.
    to_coda, fine
        Where a jump's second time leaves for the coda or stops, at its end.
    jump : str
        "capo" or "segno" for a jump back at its end.
    leaves_at : int or Fraction
        Where in it the jump or Fine is written; 0 for its end.
    mark : str
        Its rehearsal mark, "" for none.
    notes : list of list of Written
        A list a part.
    line : int
        Where it stood in a file of lines, 0 for other files.
    """

    printed: str = ""
    implicit: bool = False
    meter: Meter | None = None
    unmetered: bool = False
    keys: dict[Ticks, Key] = field(default_factory=dict)
    tempi: dict[Ticks, Fraction] = field(default_factory=dict)
    filled: Ticks = 0
    repeat_from: bool = False
    repeat_times: int = 0
    ending_starts: tuple[int, ...] = ()
    ending_stops: bool = False
    segno: bool = False
    coda: bool = False
    to_coda: bool = False
    fine: bool = False
    jump: str = ""
    leaves_at: Ticks = 0
    mark: str = ""
    notes: list[list[Written]] = field(default_factory=list)
    line: int = 0

    def where(self, path: str, number: int) -> str:
        """Its place for people; *number* is its count from 1."""
        return f"{path}, line {self.line}" if self.line else f"{path}, measure {self.printed or number}"


@dataclass(frozen=True, slots=True)
class Document:
    """A whole file of notation.

    Parameters
    ----------
    title : str
        "" for none.
    part_names : tuple of str
        Top part first; "" where the file does not say.
    measures : tuple of Measure
        In written order, each with a list of notes for every part.
    remarks : tuple of str
        What had to be left out.
    facts : tuple of (name, value)
    order : tuple of (index of the measure, which time through), or None
        The sung order where the file lists it; None where repeats and jumps say it.
    """

    title: str
    part_names: tuple[str, ...]
    measures: tuple[Measure, ...]
    remarks: tuple[str, ...] = ()
    facts: tuple[tuple[str, str], ...] = ()
    order: tuple[tuple[int, int], ...] | None = None


def in_ticks(quarters: Fraction) -> Ticks:
    """The ticks of a length in quarters, a whole number where it is one."""
    return plain(quarters * TICKS_A_QUARTER)


def plain(ticks: Fraction) -> Ticks:
    """The same value, as an int where it is whole."""
    return ticks.numerator if ticks.denominator == 1 else ticks


@lru_cache(maxsize=8192)  # the voices of a piece share their places
def in_quarters(ticks: Ticks) -> Fraction:
    """The quarters of so many ticks."""
    return Fraction(ticks, TICKS_A_QUARTER)
