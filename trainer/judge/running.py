"""A sung line while it is being sung: each beat judged as it ends, from the sound up to now.

The final verdicts are made anew at the end by ``trainer.judge.sung``; a beat shown here never claims more than was known.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from audio.heard import Gap
from trainer.judge.beats import beat_parts
from trainer.judge.company import DOUBTFUL, NOT_SUNG, Murk, only_our_voices
from trainer.judge.ear import Ear, Known, never_murky
from trainer.judge.faint import without_faint
from trainer.judge.octave import steady_shift, vote
from trainer.judge.phonation import ms_to_frames, segments
from trainer.judge.pitchline import PitchLine
from trainer.judge.pull import Suspect, matches
from trainer.judge.reading import Reading
from trainer.judge.spans import Spans
from trainer.judge.words import Words
from trainer.practice.plan import LinePlan, Plan
from trainer.practice.signs import Sign
from trainer.practice.take import BeatVerdict
from trainer.practice.timemap import TimeMap

AFTER_BEAT_MS = 150
"""Sound after a beat that its verdict waits for."""

BACK_MS = 2_500
EDGE_MS = 50  # the last estimate stands half a window inside the sound
FAR = 1 << 60
SETTLED_VOTES = 2


class RunningLine:
    """Beats of one line as they end.

    Parameters
    ----------
    plan, line : Plan, LinePlan
    time : TimeMap
    pitch_line : PitchLine
        Grows while the take runs.
    gaps : list of Gap
        Grows too.
    """

    def __init__(self, plan: Plan, line: LinePlan, time: TimeMap, pitch_line: PitchLine, gaps: list[Gap]) -> None:
        self._plan, self._line, self._pitch_line, self._gaps = plan, line, pitch_line, gaps
        self._time = time
        self._spans = Spans(plan, line, time)
        self._beats = plan.bars.beats()
        self._next = 0
        self._deviations: list[int] = []
        self._readings: list[Reading] = []
        self._suspects: list[Suspect | None] = []
        self._murk = Murk(pitch_line)

    @property
    def now_frame(self) -> int:
        """How far the take is known."""
        return self._pitch_line.centres[-1] if len(self._pitch_line) else 0

    def due(self) -> list[BeatVerdict]:
        """Beats that ended 150 ms or more before the latest frame and were not told yet."""
        told: list[BeatVerdict] = []
        if self._time.waits:
            return told
        while self._next < len(self._beats) and len(self._pitch_line):
            at, length = self._beats[self._next]
            if self._spans.reached(at + length) + ms_to_frames(AFTER_BEAT_MS) > self._pitch_line.centres[-1]:
                break
            told.append(self._judge(at, length))
            self._next += 1
        return told

    def rest(self) -> list[BeatVerdict]:
        """The beats that are left when the sound ends."""
        left = [self._judge(at, length) for at, length in self._beats[self._next :]]
        self._next = len(self._beats)
        return left

    def _judge(self, at: Fraction, length: Fraction) -> BeatVerdict:
        from_frame, to_frame = self._spans.frame(at), self._spans.reached(at + length)
        now = self._pitch_line.centres[-1] + 1 if len(self._pitch_line) else 0
        clear = without_faint(self._pitch_line)
        steady = segments(clear, from_frame - ms_to_frames(BACK_MS), min(now, to_frame + ms_to_frames(AFTER_BEAT_MS)))
        to_come = Gap(now + ms_to_frames(EDGE_MS), FAR, "not heard yet")
        ear = Ear(self._plan, self._line, self._spans, clear, steady, self._gaps, (to_come,))
        shift = self._shift(ear, at, length)
        murk = self._murk.permille if self._plan.beside_loudspeaker else never_murky
        murky = murk(self._spans.frame(self._first_quarters), now)
        known = Known(shift, murk=murk, murky=murky >= DOUBTFUL)
        verdict = ear.beat(at, length, Words(self._plan, shift), known)
        if verdict.sign is Sign.REST:
            return verdict
        self._weigh(ear, at, length, known)
        doubtful = verdict.sign is Sign.OCTAVE and not self._settled()
        if doubtful or self._ours(murky):
            return replace(verdict, sign=Sign.UNSURE, cents=None, sung=None, pulled_to=None)
        return verdict

    def _ours(self, murky: int) -> bool:
        """Whether what was just heard may be our own voices: before anything was surely sung, every note that one of them has."""
        if not self._plan.beside_loudspeaker:
            return False
        last = self._suspects[-1] if self._suspects else None  # none yet where a rest stands first and is sung in
        if last is not None and matches(last) and not any(map(_surely_sung, self._readings, self._suspects)):
            return True
        return only_our_voices(self._readings, self._suspects, murky)

    @property
    def _first_quarters(self) -> Fraction:
        return next((t.onset_quarters for t in self._line.targets if t.pitch is not None), Fraction(0))

    def _weigh(self, ear: Ear, at: Fraction, length: Fraction, known: Known) -> None:
        """Keep what this beat says for or against a singer beside our own voices."""
        for target, from_quarters, to_quarters in beat_parts(self._line.targets, at, at + length):
            if target.pitch is None:
                continue
            span = self._spans.span(target, from_quarters, to_quarters)
            heard = ear.listen(span)
            reading = ear.read(span, heard, target, known)
            self._readings.append(reading)
            self._suspects.append(ear.suspect(target, reading, heard, span, known))

    def _shift(self, ear: Ear, at: Fraction, length: Fraction) -> int:
        """The octave by the beats so far, this one included; as written until two agree."""
        for target in self._line.targets:
            if target.pitch is not None and target.onset_quarters <= at < target.end_quarters:
                span = self._spans.span(target, at, min(at + length, target.end_quarters))
                heard = ear.listen(span)
                if heard.figure is not None and heard.body:
                    self._deviations.append(heard.figure.deviation_c100)
        if self._plan.settings.octave == "strict" or not self._settled():
            return 0
        return steady_shift(self._deviations)

    def _settled(self) -> bool:
        octaves = [octave for octave in map(vote, self._deviations) if octave is not None]
        shift = steady_shift(self._deviations) if self._deviations else 0
        return octaves.count(shift) >= SETTLED_VOTES


def _surely_sung(reading: Reading, suspect: Suspect | None) -> bool:
    return suspect is not None and not reading.signs & (NOT_SUNG | {Sign.OFF, Sign.OCTAVE}) and not matches(suspect)
