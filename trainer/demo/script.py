"""What a pretend singer does with a line, as data: change a cent here and what is heard changes by that cent.

Nothing here knows of signs or verdicts. Signs of numbers: sharp, late and upwards are positive.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from audio.singer import Throat, Utterance
from audio.units import OCTAVE_C100, RATE_HZ, SEMITONE_C100
from trainer.practice.reference import References, Step
from trainer.practice.timemap import TimeMap
from trainer.score.model import Score
from trainer.score.pitch import Pitch


@dataclass(frozen=True, slots=True)
class Change:
    """What is different about one note.

    Parameters
    ----------
    cents : float
        Off its reference.
    octaves : int
    pitch : Pitch or None
        Another note in its place, at equal temperament of the same A4.
    as_line : int or None
        Another line's notes in its place, at that line's own reference and times.
    late_ms, release_ms : float
        Entry and end against what is written.
    scoop_cents : float
        How far off it is entered.
    breath_at : Fraction or None
        A breath inside the note, at this part of its length.
    breath_ms : float
        How long that breath lasts.
    manner : str
        "sung", "hummed", "whistled", "cracked" (voiceless), or "silent" for a note left out.
    """

    cents: float = 0.0
    octaves: int = 0
    pitch: Pitch | None = None
    as_line: int | None = None
    late_ms: float = 0.0
    release_ms: float = 0.0
    scoop_cents: float = 0.0
    breath_at: Fraction | None = None
    breath_ms: float = 300.0
    manner: str = "sung"


AS_WRITTEN = Change()
USUAL_THROAT = Throat()


@dataclass(frozen=True, slots=True)
class SingerScript:
    """One pretend performance of one line.

    Parameters
    ----------
    throat : Throat
    changes : tuple of (note index from 0, Change)
        Notes not named are sung as written.
    octaves : int
        Steady shift of the whole line.
    cents : float
        Steady offset of the whole line.
    sinks_cents_a_bar : float
        How much the pitch falls in each bar, steadily, from the beginning of bar ``sinks_from_bar``.
    sinks_from_bar : int
    """

    throat: Throat = USUAL_THROAT
    changes: tuple[tuple[int, Change], ...] = ()
    octaves: int = 0
    cents: float = 0.0
    sinks_cents_a_bar: float = 0.0
    sinks_from_bar: int = 1

    def change(self, index: int) -> Change:
        """What is different about note *index*."""
        return dict(self.changes).get(index, AS_WRITTEN)


@dataclass(frozen=True, slots=True)
class _Stretch:
    """Part of a note at one pitch, in frames at ``RATE_HZ``."""

    start_frame: int
    end_frame: int
    from_quarters: Fraction
    to_quarters: Fraction
    pitch_c100: float


@dataclass(frozen=True, slots=True)
class Performance:
    """A script laid over one line of a score.

    Parameters
    ----------
    score : Score
    line_index : int
    references : References
        What the singer is in tune with.
    time : TimeMap
    a4_offset_c100 : int
        For notes that are not in the score.
    """

    score: Score
    line_index: int
    references: References
    time: TimeMap
    a4_offset_c100: int = 0
    _sink_from: dict[int, Fraction] = field(default_factory=dict, init=False, compare=False, repr=False)

    def utterances(self, script: SingerScript, rate_hz: int) -> list[Utterance]:
        """Every note of the line as the script has it sung, in time order, in frames at *rate_hz*."""
        found: list[Utterance] = []
        for index in range(len(self.score.lines[self.line_index].notes)):
            change = script.change(index)
            if change.manner == "silent":
                continue
            for number, part in enumerate(self._breathed(self._stretches(index, change), change)):
                found.append(
                    Utterance(
                        _at_rate(part.start_frame, rate_hz),
                        max(_at_rate(part.end_frame, rate_hz), _at_rate(part.start_frame, rate_hz) + 1),
                        part.pitch_c100 + self._offset_c100(script, change, part.from_quarters),
                        part.pitch_c100 + self._offset_c100(script, change, part.to_quarters),
                        change.manner,
                        change.scoop_cents if number == 0 else 0.0,
                    )
                )
        return [note for note in _one_at_a_time(found) if note.end_frame > 0]

    def _stretches(self, index: int, change: Change) -> list[_Stretch]:
        """The note's own steps, or what is sung in their place, with its entry and end moved."""
        note = self.score.lines[self.line_index].notes[index]
        steps: tuple[Step, ...] = self.references[self.line_index][index]
        if change.as_line is not None:
            steps = tuple(
                step
                for other in self.references[change.as_line]
                for step in other
                if step.to_quarters > note.onset_quarters and step.from_quarters < note.end_quarters
            )
        elif change.pitch is not None:
            own = change.pitch.midi * SEMITONE_C100 + self.a4_offset_c100
            steps = (Step(note.onset_quarters, note.end_quarters, own),)
        found = []
        for step in steps:
            begin, end = max(step.from_quarters, note.onset_quarters), min(step.to_quarters, note.end_quarters)
            start_frame, end_frame = self.time.frame(begin), self.time.frame(end)
            if begin == note.onset_quarters:
                start_frame += _frames(change.late_ms)
            if end == note.end_quarters:
                end_frame += _frames(change.release_ms)
            if start_frame < end_frame:
                found.append(_Stretch(start_frame, end_frame, begin, end, step.pitch_c100))
        return found

    def _breathed(self, stretches: list[_Stretch], change: Change) -> list[_Stretch]:
        """The same with a breath cut out."""
        if change.breath_at is None or not stretches:
            return stretches
        first, last = stretches[0].start_frame, stretches[-1].end_frame
        breath = first + round(change.breath_at * (last - first))
        back = breath + _frames(change.breath_ms)
        cut = []
        for part in stretches:
            for low, high in (
                (part.start_frame, min(part.end_frame, breath)),
                (max(part.start_frame, back), part.end_frame),
            ):
                if low < high:
                    cut.append(_Stretch(low, high, self.time.quarters(low), self.time.quarters(high), part.pitch_c100))
        return cut

    def _offset_c100(self, script: SingerScript, change: Change, quarters: Fraction) -> float:
        octaves = (script.octaves + change.octaves) * OCTAVE_C100
        return octaves + 100 * (script.cents + change.cents - self._sunk_cents(script, quarters))

    def _sunk_cents(self, script: SingerScript, quarters: Fraction) -> float:
        if script.sinks_cents_a_bar == 0:
            return 0.0
        if script.sinks_from_bar not in self._sink_from:
            self._sink_from[script.sinks_from_bar] = self.score.bars().quarters(script.sinks_from_bar)
        since = quarters - self._sink_from[script.sinks_from_bar]
        bar_quarters = self.score.meters[0][1].bar_quarters
        return script.sinks_cents_a_bar * max(0.0, float(since / bar_quarters))


def _one_at_a_time(notes: list[Utterance]) -> list[Utterance]:
    """A singer has one voice: a note held on into the next one's entry ends there."""
    ordered = sorted(notes, key=lambda note: note.start_frame)
    kept: list[Utterance] = []
    for note, after in zip(ordered, [*ordered[1:], None], strict=True):
        end = note.end_frame if after is None else min(note.end_frame, after.start_frame)
        if note.start_frame < end:
            kept.append(Utterance(note.start_frame, end, note.from_c100, note.to_c100, note.manner, note.scoop_cents))
    return kept


def _frames(ms: float) -> int:
    return round(ms * RATE_HZ / 1000)


def _at_rate(frame: int, rate_hz: int) -> int:
    return round(Fraction(frame * rate_hz, RATE_HZ))
