"""One voice of an ABC tune while it is read: its state, and its measures so far.

Source: The abc music standard 2.1, sections 4.2 to 4.13 and 11.3 (signs through the bar).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from trainer.formats import MOST_BARS, MOST_LINES
from trainer.formats._abc_fields import SIGNS, Signature
from trainer.formats._written import LONGEST_MEASURE, TICKS_A_QUARTER, Measure, Ticks, Unreadable, Written, plain
from trainer.score.model import Key
from trainer.score.pitch import Interval, Pitch
from trainer.score.time import Meter

AS_WRITTEN = Interval(0, 0)


@dataclass(slots=True)
class Tuplet:
    """So many more notes at so much of their length."""

    left: int
    factor: Fraction


@dataclass(slots=True, eq=False)
class Voice:
    """A voice. Its measures hold its own notes as their one part; ``lengths`` are what it fills of each."""

    label: str
    unit: Fraction
    meter: Meter | None
    signature: Signature
    signs_hold: str = "pitch"
    name: str = ""
    shift: Interval = AS_WRITTEN
    measures: list[Measure] = field(default_factory=list)
    measure: Measure = field(default_factory=lambda: Measure(notes=[[]]))
    at: Ticks = 0
    overlay: int = 1
    grace_notes: int = 0
    line_notes: list[tuple[Written, int]] = field(default_factory=list)
    verse: int = 0
    _signs: dict[tuple[str, int], int] = field(default_factory=dict)
    _tied: dict[tuple[str, int], Pitch] = field(default_factory=dict)
    _last: list[Written] = field(default_factory=list)
    _last_length: Ticks = 0
    _broken: Fraction = Fraction(1)
    _tuplet: Tuplet | None = None

    def sound(self, letters: list[tuple[str, str, str, bool]], length: Fraction, *, tie: bool, line: int) -> None:
        """Add a note or chord of (sign, letter, octave marks, tied), or a rest when there is none. Raises Unreadable."""
        ticks = self._ticks(length)
        if ticks <= 0:
            raise Unreadable("a note takes no time")
        self._last = []
        tied: dict[tuple[str, int], Pitch] = {}
        for sign, letter, marks, own_tie in letters:
            octave = (5 if letter.islower() else 4) + marks.count("'") - marks.count(",")
            place = (letter.upper(), octave)
            pitch = self._pitch(sign, *place)
            note = Written(self.at, ticks, self._sounding(pitch), voice=str(self.overlay), line=line)
            note.tie_on = tie or own_tie
            if note.tie_on:
                tied[place] = pitch
            self._last.append(note)
        self.measure.notes[0] += self._last
        if self._last:
            self.line_notes.append((self._last[0], len(self.measures)))
        self._tied = tied
        self._last_length = ticks
        self.at += ticks
        if self.at > LONGEST_MEASURE:
            raise Unreadable("the bar is longer than any meter: bar lines (|) are missing")
        self.measure.line = self.measure.line or line

    def tie(self) -> None:
        """Tie the last note or chord to the next. Raises Unreadable."""
        if not self._last:
            raise Unreadable("a tie (-) has no note in front of it")
        for note in self._last:
            note.tie_on = True
            back = note.pitch.transposed(self.shift.inverse)
            self._tied[(back.step, back.octave)] = back

    def breathe(self) -> None:
        """A breath mark behind the last note."""
        for note in self._last:
            note.breath = True

    def break_rhythm(self, sign: str) -> None:
        """Lengthen the last note or rest and shorten the next, or the other way (4.4). Raises Unreadable."""
        count = len(sign)
        if not self._last_length or count > 3 or self._broken != 1:
            raise Unreadable(f"{sign!r} does not stand between two notes")
        short, long = Fraction(1, 2**count), 2 - Fraction(1, 2**count)
        mine, self._broken = (long, short) if sign[0] == ">" else (short, long)
        changed = plain(Fraction(self._last_length * mine))
        for note in self._last:
            note.length = changed
        self.at += changed - self._last_length
        self._last_length = 0

    def begin_tuplet(self, notes: int, instead_of: int, count: int) -> None:
        """The next *count* notes take *instead_of* of the time of *notes* (4.13). Raises Unreadable."""
        if not (notes and instead_of and count):
            raise Unreadable("a tuplet of no notes")
        self._tuplet = Tuplet(count, Fraction(instead_of, notes))

    def lay_over(self) -> None:
        """What follows sounds beside what this bar holds already (7.4)."""
        if self.overlay == MOST_LINES:
            raise Unreadable(f"more than {MOST_LINES} voices are laid over one another")
        if self.at <= 0:
            raise Unreadable("& has nothing in its bar to lay a voice over")
        self.measure.filled = max(self.measure.filled, self.at)
        self.at, self.overlay, self._last, self._last_length = 0, self.overlay + 1, [], 0
        self._signs.clear()

    def close(self) -> None:
        """A bar line: put the measure away if anything is in it, and begin the next. Raises Unreadable."""
        self._signs.clear()
        if self._broken != 1:
            raise Unreadable("broken rhythm (> or <) runs over a bar line")
        filled = max(self.measure.filled, self.at)
        if filled <= 0:
            return
        self.measure.filled = filled
        self.measures.append(self.measure)
        if len(self.measures) > MOST_BARS:
            raise Unreadable(f"there are more than {MOST_BARS} bars")
        self.measure, self.at, self.overlay, self._last_length = Measure(notes=[[]]), 0, 1, 0

    def rest_bars(self, count: int, line: int) -> None:
        """Whole bars of rest. Raises Unreadable."""
        if self.meter is None or self.at or not 1 <= count <= MOST_BARS:
            raise Unreadable("bars of rest (Z) stand alone between bar lines, and need a meter")
        for number in range(count):
            if number:
                self.close()
            self.at = plain(self.meter.bar_quarters * TICKS_A_QUARTER)
            self.measure.line = self.measure.line or line
        self._last, self._tied, self._last_length = [], {}, 0

    def set_meter(self, meter: Meter | None) -> None:
        """From this bar on. Raises Unreadable inside a bar."""
        if self.at:
            raise Unreadable("the meter changes inside a bar")
        self.meter = meter
        self.measure.meter, self.measure.unmetered = meter, meter is None

    def set_key(self, signature: Signature) -> None:
        """From here on."""
        self.signature = signature
        fifths = signature.key.fifths
        if self.shift.semitones % 12:
            middle = Pitch("C", 0, 4)
            moved = middle.transposed(Interval(self.shift.diatonic % 7, self.shift.semitones % 12))
            fifths += "FCGDAEB".index(moved.step) - 1 + 7 * moved.alter
        self.measure.keys[self.at] = Key(fifths, signature.key.mode)

    def _ticks(self, length: Fraction) -> Ticks:
        factor = self._broken
        self._broken = Fraction(1)
        if self._tuplet is not None:
            factor *= self._tuplet.factor
            self._tuplet.left -= 1
            if self._tuplet.left <= 0:
                self._tuplet = None
        return plain(length * self.unit * 4 * TICKS_A_QUARTER * factor)

    def _pitch(self, sign: str, letter: str, octave: int) -> Pitch:
        memory = (letter, octave if self.signs_hold == "octave" else 0)
        if sign:
            alter = SIGNS[sign]
            if self.signs_hold != "not":
                self._signs[memory] = alter
        elif (letter, octave) in self._tied:
            return self._tied[(letter, octave)]
        else:
            alter = self._signs.get(memory, self.signature.alters.get(letter, 0))
        return Pitch(letter, alter, octave)

    def _sounding(self, pitch: Pitch) -> Pitch:
        try:
            sounding = pitch.transposed(self.shift)
        except ValueError as err:
            raise Unreadable(str(err)) from err
        if not 0 <= sounding.midi <= 127:
            raise Unreadable(f"{sounding} cannot be sounded")
        return sounding
