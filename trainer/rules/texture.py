"""A score turned once into integers for the rules: tones, attack slices, moves of every pair.

Conventions: time is in *ticks* from the start of the score, ``ticks`` of them a quarter, chosen so that every onset is whole. Voices
are numbered 0 from the top in score order, whatever they sound. ``dia`` is letter index plus seven an octave (C4 is 28). Ties are
merged and a rest is the absence of tones. A *slice* begins wherever a voice begins or ends a note; all rules share the same slices.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from fractions import Fraction
from functools import cached_property
from itertools import combinations, pairwise
from math import lcm
from typing import NamedTuple

from trainer.score.model import Score
from trainer.score.pitch import STEPS
from trainer.score.time import Bars, Place

STRONG, HALF, WEAK, SMALLER = 3, 2, 1, 0
"""Weight of a moment in its bar: its first beat, the second half of an even bar, another quarter of the bar, anything finer."""


class Tone(NamedTuple):
    """One sung note in integers; ``voice`` and ``place`` say where it stands in its line."""

    voice: int
    place: int
    on: int
    end: int
    midi: int
    dia: int
    letter: int
    alter: int

    @property
    def name(self) -> str:
        """The scientific name, such as F#3."""
        sign = "#" * self.alter if self.alter > 0 else "b" * -self.alter
        return f"{STEPS[self.letter]}{sign}{self.dia // 7}"

    @property
    def length(self) -> int:
        """How long it sounds, in ticks."""
        return self.end - self.on


class Slice(NamedTuple):
    """What sounds from ``on`` to ``end``: a tone or None a voice, and the lowest sounding tone (None in a general rest)."""

    on: int
    end: int
    tones: tuple[Tone | None, ...]
    bass: Tone | None

    def struck(self, voice: int) -> bool:
        """Whether the voice begins a note here."""
        tone = self.tones[voice]
        return tone is not None and tone.on == self.on

    def held(self, voice: int) -> bool:
        """Whether the voice sounds a note that began before."""
        tone = self.tones[voice]
        return tone is not None and tone.on < self.on

    @property
    def sounding(self) -> list[Tone]:
        """All tones, top voice first."""
        return [tone for tone in self.tones if tone is not None]


class Move(NamedTuple):
    """Two voices that both go to another note at once: upper from a to b, lower from c to d. ``at`` is where a over c began."""

    a: Tone
    b: Tone
    c: Tone
    d: Tone
    at: int
    to: int


class BarTicks(NamedTuple):
    """One bar: where it begins and ends, its grid (ticks of a quarter of an even bar, a third of a triple one), and if it is triple."""

    number: int
    on: int
    end: int
    grid: int
    triple: bool


class Texture:
    """The whole score in integers. Made once, shared by all rules, never changed."""

    def __init__(self, score: Score) -> None:
        """Read *score*; exact, since the tick is the common measure of all its onsets and lengths."""
        self.names: tuple[str, ...] = score.voice_names()
        self.score_bars: Bars = score.bars()
        notes = [note for line in score.lines for note in line.notes]
        denominators = {note.onset_quarters.denominator for note in notes} | {
            note.length_quarters.denominator for note in notes
        }
        denominators |= {bar.onset_quarters.denominator for bar in self.score_bars.bars}
        self.ticks = lcm(8, *denominators)
        lines: list[tuple[Tone, ...]] = []
        for voice, line in enumerate(score.lines):
            tones = []
            for index, note in enumerate(line.notes):
                pitch, on = note.pitch, self._tick(note.onset_quarters)
                end = on + self._tick(note.length_quarters)
                letter = STEPS.index(pitch.step)
                tones.append(Tone(voice, index, on, end, pitch.midi, letter + 7 * pitch.octave, letter, pitch.alter))
            lines.append(tuple(tones))
        self.lines: tuple[tuple[Tone, ...], ...] = tuple(lines)
        self.parts = len(lines)
        self.end = max((line[-1].end for line in lines if line), default=0)
        self.bars: tuple[BarTicks, ...] = tuple(self._bars())
        self._bar_onsets = [bar.on for bar in self.bars]
        self.slices: tuple[Slice, ...] = tuple(self._slices())
        self._ends = [[tone.end for tone in line] for line in lines]
        self._places: dict[int, Place] = {}
        self._slice_onsets = [one.on for one in self.slices]

    def _tick(self, quarters: object) -> int:
        return quarters.numerator * (self.ticks // quarters.denominator)  # type: ignore[attr-defined, no-any-return]

    def _bars(self) -> list[BarTicks]:
        found = []
        for bar in self.score_bars.bars:
            on, length = self._tick(bar.onset_quarters), self._tick(bar.length_quarters)
            triple = bar.meter.beats % 3 == 0 and bar.meter.beats not in (6, 12)
            whole = self._tick(bar.meter.bar_quarters)
            found.append(BarTicks(bar.number, on, on + length, max(1, whole // (3 if triple else 4)), triple))
        return found

    def _slices(self) -> list[Slice]:
        moments = sorted({at for line in self.lines for tone in line for at in (tone.on, tone.end)})
        places = [0] * self.parts
        found = []
        for on, end in pairwise(moments):
            tones: list[Tone | None] = []
            bass: Tone | None = None
            for voice, line in enumerate(self.lines):
                place = places[voice]
                while place < len(line) and line[place].end <= on:
                    place += 1
                places[voice] = place
                tone = line[place] if place < len(line) and line[place].on <= on else None
                tones.append(tone)
                # of two equal pitches the lower voice is the bass
                if tone is not None and (bass is None or tone.midi <= bass.midi):
                    bass = tone
            found.append(Slice(on, end, tuple(tones), bass))
        return found

    @cached_property
    def pairs(self) -> tuple[tuple[int, int], ...]:
        """Every two voices, the upper first."""
        return tuple(combinations(range(self.parts), 2))

    @cached_property
    def moves(self) -> dict[tuple[int, int], tuple[Move, ...]]:
        """By pair: every moment at which both voices leave a note for another pitch.

        The two notes left sounded together; a rest of less than a bar between does not part them from the two that follow.
        """
        found: dict[tuple[int, int], list[Move]] = {pair: [] for pair in self.pairs}
        for now in self.slices:
            moved = []
            for new in now.tones:
                if new is not None and new.on == now.on and new.place:
                    old = self.lines[new.voice][new.place - 1]
                    if old.midi != new.midi:
                        moved.append((old, new))
            for (a, b), (c, d) in combinations(moved, 2):
                at, left = max(a.on, c.on), min(a.end, c.end)
                if at < left and (left == now.on or now.on - left < self._bar_length(now.on)):
                    found[a.voice, c.voice].append(Move(a, b, c, d, at, now.on))
        return {pair: tuple(moves) for pair, moves in found.items()}

    def _bar_length(self, at: int) -> int:
        bar = self.bar_at(at)
        return bar.end - bar.on

    def place(self, at: int) -> Place:
        """Bar and beat of tick *at*, as people count them."""
        if at not in self._places:
            self._places[at] = self.score_bars.place(Fraction(at, self.ticks))
        return self._places[at]

    def between(self, voice: int, start: int, end: int) -> tuple[Tone, ...]:
        """The tones of a voice that sound in [start, end)."""
        line, ends = self.lines[voice], self._ends[voice]
        first = bisect_right(ends, start)
        last = first
        while last < len(line) and line[last].on < end:
            last += 1
        return line[first:last]

    def slice_at(self, at: int) -> Slice | None:
        """The slice that holds tick *at*, None outside the music."""
        index = bisect_right(self._slice_onsets, at) - 1
        return self.slices[index] if index >= 0 and at < self.slices[index].end else None

    def tone_at(self, voice: int, at: int) -> Tone | None:
        """What the voice sounds at tick *at*, None in a rest."""
        found = self.slice_at(at)
        return found.tones[voice] if found is not None else None

    def bass_at(self, at: int) -> Tone | None:
        """The lowest tone sounding at tick *at*."""
        found = self.slice_at(at)
        return found.bass if found is not None else None

    def before(self, tone: Tone) -> Tone | None:
        """The note before it in its line, across rests too; see :meth:`joined`."""
        return self.lines[tone.voice][tone.place - 1] if tone.place else None

    def after(self, tone: Tone) -> Tone | None:
        """The note after it in its line, across rests too."""
        line = self.lines[tone.voice]
        return line[tone.place + 1] if tone.place + 1 < len(line) else None

    def bar_at(self, at: int) -> BarTicks:
        """The bar that holds tick *at*."""
        return self.bars[max(0, bisect_right(self._bar_onsets, at) - 1)]

    def bar_index(self, at: int) -> int:
        """Index in ``bars`` of the bar that holds tick *at*."""
        return max(0, bisect_right(self._bar_onsets, at) - 1)

    def weight(self, at: int) -> int:
        """STRONG, HALF, WEAK or SMALLER: how accented tick *at* is in its bar."""
        bar = self.bar_at(at)
        # a pickup ends where the next bar begins, so its beats count from a bar line that is not there
        into = at - bar.on if bar.number else at - bar.end + bar.grid * (3 if bar.triple else 4)
        beat, rest = divmod(into, bar.grid)
        if rest:
            return SMALLER
        if beat == 0:
            return STRONG
        return HALF if beat == 2 and not bar.triple else WEAK


def joined(before: Tone | None, after: Tone | None) -> bool:
    """Whether both are there and no rest parts them."""
    return before is not None and after is not None and before.end == after.on


def runs(line: Sequence[Tone]) -> list[tuple[Tone, ...]]:
    """A line cut at its rests."""
    found: list[list[Tone]] = []
    for tone in line:
        if found and found[-1][-1].end == tone.on:
            found[-1].append(tone)
        else:
            found.append([tone])
    return [tuple(run) for run in found]
