"""Listening to one sung line, span by span. The same ear serves a beat that has just ended and the whole take at its end."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction

from audio.heard import UNTIMED, Gap
from trainer.judge.beats import Part, beat_parts, beat_verdict
from trainer.judge.company import DOUBTFUL, MAYBE_OURS, taken_away
from trainer.judge.faint import FAINT_DB10
from trainer.judge.listening import Levels, Listening, listen, overlap
from trainer.judge.phonation import Segment, median, ms_to_frames
from trainer.judge.pitchline import PitchLine
from trainer.judge.pull import Suspect, matches, pulled_to
from trainer.judge.reading import BREATH_INSIDE_MS, RIGHT_C100, Frame, Reading, read
from trainer.judge.rests import sung_in
from trainer.judge.span import OCTAVE, Span
from trainer.judge.spans import Spans
from trainer.judge.words import Words
from trainer.practice.plan import LinePlan, Plan, Target
from trainer.practice.settings import ON_TIME_MS
from trainer.practice.signs import Sign
from trainer.practice.take import BeatVerdict

NEVER_DB10 = -9_999
LOUDEST_ROOM_DB10 = -450  # a microphone that hears steady sound above this hears more than a room
OVER_ROOM_DB10 = 120
UNDER_SINGER_DB10 = 90
TIMED_AROUND_MS = 200
WHOLE_TONE = 800  # an octave too high explains 945 of the sound and more; every second harmonic of a note explained 600


def nothing_taken_off(_: int) -> int:
    """No offset."""
    return 0


def never_murky(_: int, __: int) -> int:
    """No murk."""
    return 0


@dataclass(frozen=True, slots=True)
class Known:
    """What the whole take has shown so far.

    Parameters
    ----------
    shift : int
        Octaves of the whole take.
    offset_c100 : callable
        From a frame to what is taken off there.
    pulls : mapping from target index to voice
    readings, heard : mappings from target index
        Of whole notes, where they are over.
    murk : callable
        From two frames to how murky the sound between them is, in thousandths: from a certain murk on our own sound cannot be told
        from a singer that follows it.
    murky : bool
        Whether the whole take is so.
    """

    shift: int
    offset_c100: Callable[[int], int] = nothing_taken_off
    pulls: Mapping[int, str | None] = field(default_factory=dict)
    readings: Mapping[int, Reading] = field(default_factory=dict)
    heard: Mapping[int, Listening] = field(default_factory=dict)
    murk: Callable[[int, int], int] = never_murky
    murky: bool = False


class Ear:
    """Listens for one line of a plan.

    Parameters
    ----------
    plan, line : Plan, LinePlan
    spans : Spans
    pitch_line : PitchLine
    steady : list of Segment
    gaps : list of Gap
        Lost sound: nothing is timed beside it; and sound whose time is in doubt.
    unheard : tuple of Gap
        What lies outside the recording: not silent, but not lost either.
    """

    def __init__(
        self,
        plan: Plan,
        line: LinePlan,
        spans: Spans,
        pitch_line: PitchLine,
        steady: list[Segment],
        gaps: list[Gap],
        unheard: tuple[Gap, ...] = (),
    ) -> None:
        self._plan, self._line, self._spans = plan, line, spans
        self._pitch_line, self._gaps = pitch_line, gaps
        self._lost = [*(gap for gap in gaps if gap.why != UNTIMED), *unheard]
        self.steady = steady
        self._levels = levels_of(pitch_line)
        self._ahead: dict[int, int] = {}
        gliding = sum(s.length_frames for s in steady if s.glides)
        self._spoken = 2 * gliding > sum(s.length_frames for s in steady)

    def listen(self, span: Span) -> Listening:
        """What the span holds."""
        return listen(self._pitch_line, self.steady, span, levels=self._levels)

    def read(self, span: Span, heard: Listening, target: Target, known: Known) -> Reading:
        """Signs and numbers of a span."""
        settings = self._plan.settings
        timed = self._timed(span)
        frame = Frame(
            known.shift,
            known.offset_c100((span.from_frame + span.to_frame) // 2),
            settings.tolerance_cents * 100,
            self._spans.on_time_frames(target, ON_TIME_MS["sung"]),
            self._spans.beat_frames(target),
            settings.octave == "free",
            timed,
            self._spans.nothing_follows(target),
            target.breath_after,
            _inside(self._lost, span.from_frame, span.to_frame),
            self._spoken,
            self.ahead_frames(target, heard if span.own_start and span.own_end else None, known),
        )
        reading = read(heard, span, frame)
        if Sign.LATE in reading.signs and self._breath_before(span, heard, target):
            reading = replace(reading, signs=reading.signs - {Sign.LATE})
        if Sign.OCTAVE in reading.signs and self._half_drowned(span, heard, reading):
            return Reading(frozenset({Sign.UNSURE}), why=reading.why)
        return reading

    def _half_drowned(self, span: Span, heard: Listening, reading: Reading) -> bool:
        """Whether an octave too high may be every second harmonic of the right note, the others drowned in what is left of our own sound.

        Then the upper one explains far less of the sound than a note does.
        """
        up = reading.deviation_c100 is not None and reading.deviation_c100 > 0
        return up and heard.confidence < WHOLE_TONE and taken_away(self._pitch_line, span.from_frame, span.to_frame)

    def ahead_frames(self, target: Target, whole: Listening | None, known: Known) -> int:
        """How much a note seems to begin before its time where nobody knows the delay, and the notes so far where its onset is hidden.

        0 where timing is judged, and never less: of two readings of an end the milder one counts.
        """
        if self._timed(self._spans.whole(target)):
            return 0
        if whole is None:
            whole = known.heard.get(target.index) or self.listen(self._spans.whole(target))
        if whole.onset_frame is not None:
            self._ahead[target.index] = max(0, self._spans.whole(target).from_frame - whole.onset_frame)
        usual = median(sorted(self._ahead.values())) if self._ahead else 0
        return self._ahead.get(target.index, usual)

    def _timed(self, span: Span) -> bool:
        """Whether late and early may be told where a span begins."""
        around = ms_to_frames(TIMED_AROUND_MS)
        here = span.from_frame - around, span.from_frame + around
        return self._plan.settings.delay_known and not _inside(self._gaps, *here)

    def suspect(self, target: Target, reading: Reading, heard: Listening, span: Span, known: Known) -> Suspect | None:
        """The span as the search for pulls sees it; None when nothing was sung."""
        if reading.pitch_c100 is None or not heard.body:
            return None
        first = heard.body[0]
        moved = not first.after_gap and first.start_frame > span.from_frame + ms_to_frames(100)
        own = span.reference_c100(span.from_frame) + known.shift * OCTAVE
        left_right = any(
            s.end_frame <= first.start_frame + 1 and abs(s.level_c100 - own) <= RIGHT_C100 for s in heard.strays
        )
        return Suspect(
            Sign.OFF in reading.signs,
            reading.pitch_c100 - known.shift * OCTAVE - known.offset_c100(span.from_frame),
            first.start_frame,
            max(first.start_frame, span.from_frame - ms_to_frames(TIMED_AROUND_MS)),
            min(heard.body[-1].end_frame, span.to_frame),
            moved and left_right,
            self._spans.own_around(target),
            self._spans.neighbours(target),
        )

    def pull(self, target: Target, reading: Reading, heard: Listening, span: Span, known: Known) -> str | None:
        """Whose note a part's own sound was, when there is a sign of following in the part or in the whole note."""
        if Sign.OFF not in reading.signs:
            return None
        suspect = self.suspect(target, reading, heard, span, known)
        of_part = pulled_to([suspect])[0]
        of_note = known.pulls.get(target.index)
        if of_part is None and of_note is not None and suspect is not None:
            return next((n.voice for n in matches(suspect) if n.voice == of_note), None)
        return of_part

    def part(
        self, target: Target, from_quarters: Fraction, to_quarters: Fraction, known: Known
    ) -> tuple[Reading, str | None]:
        """A part of a note, read and searched for a pull."""
        span = self._spans.span(target, from_quarters, to_quarters)
        heard = self.listen(span)
        reading = self.read(span, heard, target, known)
        if reading.signs & MAYBE_OURS and (known.murky or known.murk(span.from_frame, span.to_frame) >= DOUBTFUL):
            suspect = self.suspect(target, reading, heard, span, known)
            if suspect is not None and matches(suspect):
                return Reading(frozenset({Sign.UNSURE}), why=reading.why), None
        reading = self._forgiven(reading, span, target, known)
        return reading, self.pull(target, reading, heard, span, known)

    def rest(self, target: Target, shift: int) -> Segment | None:
        """What was surely sung in a rest. After the last note nothing is asked for, and a long last note is no fault."""
        if target.index == len(self._line.targets) - 1:
            return None
        before = self._line.targets[target.index - 1] if target.index else None
        after = self._line.targets[target.index + 1]
        return sung_in(
            self.steady,
            self._spans.bounds(target),
            before_c100=before.steps[-1].pitch_c100 + shift * OCTAVE if before is not None and before.steps else None,
            after_c100=after.steps[0].pitch_c100 + shift * OCTAVE if after.steps else None,
            beat_frames=self._spans.beat_frames(target),
        )

    def beat(self, at: Fraction, length: Fraction, words: Words, known: Known) -> BeatVerdict:
        """The verdict of one beat, from the sound inside it."""
        parts: list[Part] = []
        for target, from_quarters, to_quarters in beat_parts(self._line.targets, at, at + length):
            if target.pitch is not None:
                reading, pulled = self.part(target, from_quarters, to_quarters, known)
                parts.append((target, reading, pulled))
                continue
            rest = self.rest(target, known.shift)
            from_frame, to_frame = self._spans.frame(from_quarters), self._spans.frame(to_quarters)
            if rest is not None and overlap(rest, from_frame, to_frame) >= min(
                ms_to_frames(150), (to_frame - from_frame) // 2
            ):
                parts.append((target, Reading(frozenset({Sign.OFF}), rest.level_c100), None))
            else:
                parts.append((target, Reading(frozenset({Sign.REST})), None))
        return beat_verdict(self._plan, words, at, parts)

    def _forgiven(self, reading: Reading, span: Span, target: Target, known: Known) -> Reading:
        """A part that is silent, or begins late, because of a breath that the whole note forgives is that breath."""
        note = known.readings.get(target.index)
        if note is None or Sign.BREATH not in note.signs or reading.signs - {Sign.SILENT, Sign.BREATH}:
            return reading
        for from_frame, to_frame in known.heard[target.index].silences:
            eaten = min(to_frame, span.to_frame) - max(from_frame, span.from_frame)
            if 2 * eaten >= to_frame - from_frame >= ms_to_frames(BREATH_INSIDE_MS):
                return replace(reading, signs=frozenset({Sign.BREATH}))
        return reading

    def _breath_before(self, span: Span, heard: Listening, target: Target) -> bool:
        """Whether a late start is the far side of a breath that was mostly taken out of the note before."""
        if not heard.attacked or heard.onset_frame is None or span.before_c100 is None:
            return False  # after a rest nothing was taken out of a note
        ended = [s.end_frame for s in self.steady if s.end_frame <= heard.onset_frame]
        limit = max(self._spans.beat_frames(target) // 2, ms_to_frames(600))
        if not ended:
            return False
        eaten_before, eaten_here = span.from_frame - ended[-1], heard.onset_frame - span.from_frame
        return eaten_before >= max(ms_to_frames(100), eaten_here) and eaten_before + eaten_here <= limit


def _inside(gaps: list[Gap], from_frame: int, to_frame: int) -> int:
    """Frames of [from, to) that lie in any of the gaps."""
    return sum(max(0, min(g.to_frame, to_frame) - max(g.from_frame, from_frame)) for g in gaps)


def levels_of(line: PitchLine) -> Levels:
    """What is loud and soft: the room is the softest fiftieth; 12 dB over it, near the singer's own level, sound may be a singer."""
    if not len(line):
        return Levels(NEVER_DB10, NEVER_DB10, NEVER_DB10)
    floor = sorted(line.levels)[len(line) // 50]
    sung = [level for level, voiced in zip(line.levels, line.voiced, strict=True) if voiced]
    middle = median(sung) if sung else NEVER_DB10
    loud = max(min(floor, LOUDEST_ROOM_DB10) + OVER_ROOM_DB10, middle - UNDER_SINGER_DB10)
    return Levels(loud, floor, middle - FAINT_DB10)
