"""Score, line and note: what is written, free of how it sounds or was typed.

Conventions: tied notes are one note; a rest is the absence of notes, so a line's notes never overlap and gaps between them are rests.
Lines are in score order, the top one first.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise

from trainer.score.pitch import Pitch
from trainer.score.shown import shown
from trainer.score.time import Bars, Meter, TempoMap, lay_out_bars

MARKS = "marks"
"""The fact under which a score lists its rehearsal marks, as in ``A 5, B 9``: each with its bar in reading order."""

VOICES_BY_PARTS = {
    2: ("soprano", "bass"),
    3: ("soprano", "alto", "bass"),
    4: ("soprano", "alto", "tenor", "bass"),
}


@dataclass(frozen=True, slots=True)
class Origin:
    """Where something stood in a file, so that an error or a finding can point there. 0 when not known."""

    path: str = ""
    line: int = 0
    word: int = 0


@dataclass(frozen=True, slots=True)
class Note:
    """One sung note, ties merged.

    Parameters
    ----------
    onset_quarters, length_quarters : Fraction
        From the start of the score, pickup included; the length is above 0.
    pitch : Pitch
    lyric : str
        The syllable under it.
    breath_after : bool
        A written breath mark.
    origin : Origin
        Left out of comparisons.
    """

    onset_quarters: Fraction
    length_quarters: Fraction
    pitch: Pitch
    lyric: str = ""
    breath_after: bool = False
    origin: Origin = field(default=Origin(), compare=False)

    def __post_init__(self) -> None:
        """A note takes time and starts in the score."""
        if self.length_quarters <= 0 or self.onset_quarters < 0:
            raise ValueError(f"{self.pitch} at {self.onset_quarters} with length {self.length_quarters} is not in time")
        object.__setattr__(self, "lyric", shown(self.lyric))

    @property
    def end_quarters(self) -> Fraction:
        """Where the note stops."""
        return self.onset_quarters + self.length_quarters


@dataclass(frozen=True, slots=True)
class Line:
    """One voice: a name and its notes in time order. Raises ValueError when two overlap."""

    name: str
    notes: tuple[Note, ...]

    def __post_init__(self) -> None:
        """One voice sings one note at a time."""
        for before, after in pairwise(self.notes):
            if after.onset_quarters < before.end_quarters:
                raise ValueError(
                    f"{self.name}: {after.pitch} begins at quarter {after.onset_quarters}, before {before.pitch} has ended"
                )
        object.__setattr__(self, "name", shown(self.name))

    def at(self, quarters: Fraction) -> Note | None:
        """The note sounding at *quarters*, None in a rest."""
        for note in self.notes:
            if note.onset_quarters <= quarters < note.end_quarters:
                return note
        return None

    def rests(self, end_quarters: Fraction) -> list[tuple[Fraction, Fraction]]:
        """Onset and length in quarters of every rest up to *end_quarters*."""
        found, at = [], Fraction(0)
        for note in self.notes:
            if note.onset_quarters > at:
                found.append((at, note.onset_quarters - at))
            at = note.end_quarters
        if at < end_quarters:
            found.append((at, end_quarters - at))
        return found


@dataclass(frozen=True, slots=True)
class Key:
    """A key signature: sharps positive, flats negative; mode is a word such as "dorian" or "" when not said."""

    fifths: int
    mode: str = ""


@dataclass(frozen=True, slots=True)
class Score:
    """A whole exercise or piece.

    Parameters
    ----------
    title : str
        Like every word of a score without control characters: each becomes a blank.
    lines : tuple of Line
        Top line first; any number from one up.
    meters : tuple of (onset_quarters, Meter)
        The first at 0.
    keys : tuple of (onset_quarters, Key)
        May be empty.
    tempo : TempoMap
    pickup_quarters : Fraction
        Length of bar 0, or 0.
    printed_bars : tuple of str
        The file's own numbers in reading order where they differ.
    facts : tuple of (name, value)
        What the file says of itself: species, mode, cantus, sing, level, crux.
    """

    title: str
    lines: tuple[Line, ...]
    meters: tuple[tuple[Fraction, Meter], ...] = ((Fraction(0), Meter(4, 4)),)
    keys: tuple[tuple[Fraction, Key], ...] = ()
    tempo: TempoMap = TempoMap()
    pickup_quarters: Fraction = Fraction(0)
    printed_bars: tuple[str, ...] = ()
    facts: tuple[tuple[str, str], ...] = ()
    origin: Origin = field(default=Origin(), compare=False)

    def __post_init__(self) -> None:
        """A score has a line, and its meters begin at its start."""
        if not self.lines:
            raise ValueError("a score has at least one line")
        if not self.meters or self.meters[0][0] != 0:
            raise ValueError("the first meter stands at the start")
        object.__setattr__(self, "title", shown(self.title))
        object.__setattr__(self, "facts", tuple((name, shown(value)) for name, value in self.facts))

    @property
    def end_quarters(self) -> Fraction:
        """Where the last note of any line stops."""
        return max((line.notes[-1].end_quarters for line in self.lines if line.notes), default=Fraction(0))

    def bars(self) -> Bars:
        """Every bar, laid out from the meters and the pickup."""
        return lay_out_bars(
            self.meters,
            end_quarters=self.end_quarters,
            pickup_quarters=self.pickup_quarters,
            printed=self.printed_bars,
        )

    def fact(self, name: str) -> str:
        """What the file says of *name*, "" when it says nothing."""
        return dict(self.facts).get(name, "")

    def voice_names(self) -> tuple[str, ...]:
        """The name by which each line is called: its part's trade name in 2 to 4 parts, else its own.

        A file that gives one of these trade names to a line in another place (two sopranos over an alto and a bass) keeps its names.
        """
        return called_voices([line.name for line in self.lines])

    def digest(self) -> str:
        """A name for the music itself (notes, time, meters), whatever file it came from: 64 hex digits."""
        text = [f"{at} {meter}" for at, meter in self.meters] + [str(self.pickup_quarters)]
        for line in self.lines:
            text.append("line")
            text += [f"{n.onset_quarters} {n.length_quarters} {n.pitch}" for n in line.notes]
        return hashlib.sha256("\n".join(text).encode()).hexdigest()


def called_voices(names: Sequence[str]) -> tuple[str, ...]:
    """What voices with these names, the top one first, are called: see :meth:`Score.voice_names`."""
    own = tuple(name.lower() for name in names)
    usual = VOICES_BY_PARTS.get(len(names), ())
    if usual and all(name not in usual or usual[place] == name for place, name in enumerate(own)):
        return usual
    if usual:
        return tuple(name or str(number) for number, name in enumerate(own, start=1))
    return tuple(name or str(number) for number, name in enumerate(names, start=1))


def sounding(score: Score, quarters: Fraction) -> list[tuple[int, Note]]:
    """Line index and note of everything that sounds at *quarters*, top line first."""
    found = []
    for index, line in enumerate(score.lines):
        note = line.at(quarters)
        if note is not None:
            found.append((index, note))
    return found


def find_voice(score: Score, wanted: str) -> int:
    """Index of the line called *wanted*: a number from the top, a trade name, or the part's own name in the file.

    Raises
    ------
    KeyError
        With the names that there are.
    """
    names = score.voice_names()
    low = wanted.strip().lower()
    if low.isdecimal() and 1 <= int(low) <= len(names):
        return int(low) - 1
    own = [line.name.lower() for line in score.lines]
    for known in ([name.lower() for name in names], own, VOICES_BY_PARTS.get(len(names), ())):
        if low in known:
            return list(known).index(low)
    raise KeyError(", ".join(names))
