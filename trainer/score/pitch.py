"""Spelled pitches and the intervals between them.

Conventions: scientific names (C4 is middle C, MIDI 60, as in the MIDI Tuning Standard). A sharp is ``#``, a flat ``b``, doubled as
``##`` and ``bb``. G#4 and Ab4 are different pitches with one MIDI number.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

STEPS = "CDEFGAB"
STEP_SEMITONES = (0, 2, 4, 5, 7, 9, 11)
_NAME = re.compile(r"([A-G])(##|#|bb|b|x)?(-?\d+)\Z")
_SIGNS = {"": 0, "#": 1, "##": 2, "x": 2, "b": -1, "bb": -2}


@dataclass(frozen=True, slots=True)
class Pitch:
    """A letter, its alteration in semitones, and an octave.

    Parameters
    ----------
    step : str
        "A" to "G".
    alter : int
        Semitones, sharp positive, -2 to 2.
    octave : int
        4 holds middle C.
    """

    step: str
    alter: int
    octave: int

    def __post_init__(self) -> None:
        """Refuse letters and alterations that no notation has."""
        if self.step not in STEPS or len(self.step) != 1:
            raise ValueError(f"{self.step!r} is not a letter from A to G")
        if not -2 <= self.alter <= 2:
            raise ValueError(f"an alteration of {self.alter} semitones cannot be written")

    @classmethod
    def parse(cls, name: str) -> Pitch:
        """The pitch called *name*, such as F#3 or Bb4. Raises ValueError on anything else."""
        match = _NAME.match(name)
        if match is None:
            raise ValueError(f"{name!r} is not a pitch")
        step, sign, octave = match.groups()
        return cls(step, _SIGNS[sign or ""], int(octave))

    @property
    def accidental(self) -> str:
        """The written sign: "", "#", "##", "b" or "bb"."""
        return "#" * self.alter if self.alter > 0 else "b" * -self.alter

    def __str__(self) -> str:
        """The scientific name."""
        return f"{self.step}{self.accidental}{self.octave}"

    @property
    def midi(self) -> int:
        """MIDI note number; C4 is 60."""
        return STEP_SEMITONES[STEPS.index(self.step)] + self.alter + 12 * (self.octave + 1)

    @property
    def diatonic(self) -> int:
        """Letter index plus seven an octave: one a staff position."""
        return STEPS.index(self.step) + 7 * self.octave

    def interval_to(self, other: Pitch) -> Interval:
        """The interval from this pitch up (or, negative, down) to *other*."""
        return Interval(other.diatonic - self.diatonic, other.midi - self.midi)

    def transposed(self, interval: Interval) -> Pitch:
        """This pitch moved by *interval*, spelled by it. Raises ValueError when it would need a third accidental."""
        diatonic = self.diatonic + interval.diatonic
        step, octave = STEPS[diatonic % 7], diatonic // 7
        natural = STEP_SEMITONES[diatonic % 7] + 12 * (octave + 1)
        return Pitch(step, self.midi + interval.semitones - natural, octave)


@dataclass(frozen=True, slots=True)
class Interval:
    """Staff positions and semitones, both positive upwards: a minor third is (2, 3), an augmented second (1, 3)."""

    diatonic: int
    semitones: int

    @property
    def simple(self) -> Interval:
        """The size within one octave, upwards: (0, 0) for unison and octave alike."""
        size = self if self.diatonic > 0 or (self.diatonic == 0 and self.semitones >= 0) else self.inverse
        octaves = size.diatonic // 7
        return Interval(size.diatonic - 7 * octaves, size.semitones - 12 * octaves)

    @property
    def inverse(self) -> Interval:
        """The same interval the other way."""
        return Interval(-self.diatonic, -self.semitones)


def spelled_midi(midi: int, *, fifths: int = 0) -> Pitch:
    """The usual spelling of a MIDI number in a key of *fifths* sharps (flats negative).

    The name nearest to the key on the line of fifths wins, from five fifths below its tonic's neighbour to six above
    (common practice, no source): in C major that is Eb to G#.
    """
    best: Pitch | None = None
    for alter in (0, 1, -1, 2, -2):
        for step_index, step in enumerate(STEPS):
            natural = STEP_SEMITONES[step_index] + alter
            if (midi - natural) % 12:
                continue
            pitch = Pitch(step, alter, (midi - natural) // 12 - 1)
            if best is None or _distance(pitch, fifths) < _distance(best, fifths):
                best = pitch
    assert best is not None  # twelve classes are all covered by the natural and sharp letters
    return best


def line_of_fifths(pitch: Pitch) -> int:
    """Place on the line of fifths: F is -1, C is 0, G is 1, F# is 6, Bb is -2."""
    return "FCGDAEB".index(pitch.step) - 1 + 7 * pitch.alter


def _distance(pitch: Pitch, fifths: int) -> tuple[int, int]:
    # the centre of a major key's seven notes plus its usual chromatic ones lies at D in C major, so two above the tonic
    away = line_of_fifths(pitch) - (fifths + 2)
    return abs(2 * away - 1), abs(pitch.alter)
