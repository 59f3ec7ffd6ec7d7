"""A sung line while it is being sung: each beat judged as it ends, from the sound up to now.

The final verdicts are made anew at the end by ``trainer.judge.sung``; a beat shown here never claims more than was known.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from audio.heard import Gap
from trainer.judge.ear import Ear, Known
from trainer.judge.octave import steady_shift, vote
from trainer.judge.phonation import ms_to_frames, segments
from trainer.judge.pitchline import PitchLine
from trainer.judge.signs import Sign
from trainer.judge.spans import Spans
from trainer.judge.words import Words
from trainer.practice.plan import LinePlan, Plan
from trainer.practice.take import BeatVerdict
from trainer.practice.timemap import TimeMap

AFTER_BEAT_MS = 150
"""Sound after a beat that its verdict waits for."""

BACK_MS = 2_500
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
        self._spans = Spans(plan, line, time)
        self._beats = plan.bars.beats()
        self._next = 0
        self._deviations: list[int] = []

    def due(self) -> list[BeatVerdict]:
        """Beats that ended 150 ms or more before the latest frame and were not told yet."""
        told = []
        while self._next < len(self._beats) and len(self._pitch_line):
            at, length = self._beats[self._next]
            if self._spans.frame(at + length) + ms_to_frames(AFTER_BEAT_MS) > self._pitch_line.centres[-1]:
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
        from_frame, to_frame = self._spans.frame(at), self._spans.frame(at + length)
        now = self._pitch_line.centres[-1] + 1 if len(self._pitch_line) else 0
        steady = segments(
            self._pitch_line, from_frame - ms_to_frames(BACK_MS), min(now, to_frame + ms_to_frames(AFTER_BEAT_MS))
        )
        ear = Ear(self._plan, self._line, self._spans, self._pitch_line, steady, self._gaps)
        shift = self._shift(ear, at, length)
        verdict = ear.beat(at, length, Words(self._plan, shift), Known(shift))
        if verdict.sign is Sign.OCTAVE and not self._settled():
            return replace(verdict, sign=Sign.UNSURE, cents=None)
        return verdict

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
