"""What the second checker reads: voices as plain tuples, laid out in slices.

Conventions: time inside is in *ticks*, eight to a quarter note. Voices are numbered from 0 at the top, in score order. *Beats* are
quarters of a bar counted from 1. A pitch is a name such as F#4; its staff place counts letters, seven to an octave.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

TICKS = 8
LETTERS = "CDEFGAB"
SEMITONES = (0, 2, 4, 5, 7, 9, 11)

PlainNote = tuple[Fraction | int | float, Fraction | int | float, str]
"""Onset and length in quarters, and a pitch name."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One forbidden thing: where it begins and ends (bar, quarter of the bar), and the voices from the top, counted from 1."""

    rule: str
    bar: int
    beat: float
    to_bar: int
    to_beat: float
    voices: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Tone:
    """One note: ticks, staff place, semitones above C-1, which voice and which of its notes."""

    start: int
    end: int
    place: int
    midi: int
    name: str
    voice: int
    index: int

    @property
    def letter(self) -> int:
        return self.place % 7

    @property
    def alter(self) -> int:
        """Semitones by which the letter is raised."""
        return self.midi - SEMITONES[self.letter] - 12 * (self.place // 7 + 1)

    @property
    def length(self) -> int:
        return self.end - self.start


def tone(name: str, start: int, end: int, voice: int, index: int) -> Tone:
    match = re.fullmatch(r"([A-G])([#b]*)(-?\d+)", name)
    if match is None:
        raise ValueError(f"{name!r} is not a pitch")
    letter, octave = LETTERS.index(match[1]), int(match[3])
    alter = match[2].count("#") - match[2].count("b")
    return Tone(start, end, letter + 7 * octave, SEMITONES[letter] + alter + 12 * (octave + 1), name, voice, index)


def ticks(quarters: Fraction | int | float) -> int:
    whole = Fraction(quarters) * TICKS
    if whole.denominator != 1:
        raise ValueError(f"{quarters} quarters is finer than this checker counts")
    return int(whole)


@dataclass(frozen=True)
class Piece:
    """An exercise and what is asked of it.

    Parameters
    ----------
    voices : top first, each the notes of one line with ties merged
    species : one word a voice: cantus, 1, 2, 3, 4 or 5
    rules : strict16, conservatoire or tonal
    final : letter name of the final with its sign, such as D or Bb
    scale : the mode's seven alterations by letter C to B (all 0 for the white notes)
    minor : whether the sixth and seventh degree are those of the minor key, raised and lowered by where they go
    names : trade names of the voices, or nothing, when no compass is judged
    bar_quarters : length of a bar
    """

    voices: Sequence[Sequence[PlainNote]]
    species: tuple[str, ...]
    rules: str
    final: str
    scale: tuple[int, ...] = (0, 0, 0, 0, 0, 0, 0)
    minor: bool = False
    names: tuple[str, ...] = ()
    bar_quarters: int = 4
    whole: bool = True  # False for the first bars of something still being written: nothing is said of its close

    @cached_property
    def lines(self) -> tuple[tuple[Tone, ...], ...]:
        return tuple(
            tuple(tone(n, at, end, v, i) for i, (at, end, n) in enumerate(self.joined(v)))
            for v in range(len(self.voices))
        )

    def joined(self, voice: int) -> list[tuple[int, int, str]]:
        """Start, end and name of a line's notes.

        Fux, fig. 86a, writes a suspension's half again as a quarter: in the strict fifth species that is a tie.
        """
        notes = [(ticks(at), ticks(at + long), name) for at, long, name in self.voices[voice]]
        if self.species[voice] != "5" or self.rules != "strict16":
            return notes
        found: list[tuple[int, int, str]] = []
        for start, end, name in notes:
            if found and start % (self.bar_quarters * TICKS) == 0 and end - start == TICKS:
                before, over, same = found[-1]
                if same == name and over == start and start - before == 2 * TICKS:
                    found[-1] = (before, end, name)
                    continue
            found.append((start, end, name))
        return found

    @cached_property
    def bar_ticks(self) -> int:
        return self.bar_quarters * TICKS

    @property
    def parts(self) -> int:
        return len(self.voices)

    @cached_property
    def times(self) -> tuple[int, ...]:
        """Every onset of any voice."""
        return tuple(sorted({note.start for line in self.lines for note in line}))

    @cached_property
    def slices(self) -> dict[int, tuple[Tone | None, ...]]:
        """At each onset what every voice sounds."""
        found: dict[int, tuple[Tone | None, ...]] = {}
        for at in self.times:
            found[at] = tuple(next((n for n in line if n.start <= at < n.end), None) for line in self.lines)
        return found

    def at(self, time: int) -> tuple[Tone | None, ...]:
        if time in self.slices:
            return self.slices[time]
        return tuple(next((n for n in line if n.start <= time < n.end), None) for line in self.lines)

    @cached_property
    def end(self) -> int:
        return max(line[-1].end for line in self.lines if line)

    @cached_property
    def bars(self) -> int:
        return -(-self.end // self.bar_ticks)

    @cached_property
    def final_place(self) -> int:
        return LETTERS.index(self.final[0])

    @cached_property
    def final_pitch_class(self) -> int:
        return tone(self.final + "4", 0, 1, 0, 0).midi % 12

    @cached_property
    def cantus(self) -> int | None:
        return self.species.index("cantus") if "cantus" in self.species else None

    def quick(self, voice: int) -> bool:
        """Whether the voice has more than one note to a bar."""
        return self.species[voice] in {"2", "3", "4", "5"}

    def beat(self, time: int) -> float:
        """Quarter of the bar from 1."""
        return time % self.bar_ticks / TICKS + 1

    def bar(self, time: int) -> int:
        return time // self.bar_ticks + 1

    def strong(self, time: int) -> bool:
        return time % self.bar_ticks == 0

    def last_bar(self) -> int:
        return (self.bars - 1) * self.bar_ticks

    def finding(self, rule: str, start: int, end: int, *voices: int) -> Finding:
        return Finding(
            rule, self.bar(start), self.beat(start), self.bar(end), self.beat(end), tuple(v + 1 for v in sorted(voices))
        )

    def before(self, note: Tone) -> Tone | None:
        """The note that leads into this one without a rest."""
        if note.index == 0:
            return None
        found = self.lines[note.voice][note.index - 1]
        return found if found.end == note.start else None

    def after(self, note: Tone) -> Tone | None:
        line = self.lines[note.voice]
        if note.index + 1 >= len(line) or line[note.index + 1].start != note.end:
            return None
        return line[note.index + 1]


def lowest(sounding: Sequence[Tone | None]) -> Tone | None:
    """The lowest note that sounds."""
    notes = [note for note in sounding if note is not None]
    return min(notes, key=lambda note: (note.midi, -note.voice), default=None)


def simple(a: Tone, b: Tone) -> tuple[int, int]:
    """The interval between two notes within the octave, as letters and semitones."""
    low, high = sorted((a, b), key=lambda note: (note.place, note.midi))
    return (high.place - low.place) % 7, (high.midi - low.midi) % 12


def move(a: Tone, b: Tone) -> tuple[int, int]:
    """Letters and semitones from one note up (or, negative, down) to another."""
    return b.place - a.place, b.midi - a.midi


def step(a: Tone, b: Tone) -> int:
    """+1 or -1 when b lies a second above or below a, else 0."""
    letters, semitones = move(a, b)
    return (letters > 0) - (letters < 0) if abs(letters) == 1 and abs(semitones) in {1, 2} else 0


def sign(number: int) -> int:
    return (number > 0) - (number < 0)


def perfect(a: Tone, b: Tone) -> str:
    """Name of the perfect consonance of two notes: octave (unison too), fifth, or nothing."""
    return {(0, 0): "octave", (4, 7): "fifth"}.get(simple(a, b), "")


OVER_THE_BASS = {(0, 0), (2, 3), (2, 4), (4, 7), (5, 8), (5, 9)}
BETWEEN_UPPER = OVER_THE_BASS | {(3, 5), (3, 6), (4, 6), (3, 4), (4, 8)}
# the last two, a diminished fourth and its inversion, are heard in an augmented triad, which has a rule of its own


def agree(a: Tone, b: Tone, bass: Tone | None) -> bool:
    """Whether two notes are consonant; fourths and tritones only when neither is the lowest note."""
    return simple(a, b) in (OVER_THE_BASS if bass in (a, b) else BETWEEN_UPPER)
