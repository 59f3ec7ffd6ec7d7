"""Targets laid on the frame axis of one take."""

from __future__ import annotations

from fractions import Fraction

from trainer.judge.phonation import ms_to_frames
from trainer.judge.pull import Neighbour
from trainer.judge.span import Reference, Span
from trainer.practice.plan import LinePlan, Plan, Target
from trainer.practice.timemap import TimeMap

REACH_MS = 1_500


class Spans:
    """Where every target of one line lies in a take.

    Parameters
    ----------
    plan : Plan
    line : LinePlan
    time : TimeMap
    """

    def __init__(self, plan: Plan, line: LinePlan, time: TimeMap) -> None:
        self.plan = plan
        self.targets = line.targets
        self._time = time

    def frame(self, quarters: Fraction) -> int:
        """Frame of a place in the music."""
        return self._time.frame(quarters)

    def reached(self, quarters: Fraction) -> int:
        """Frame at which what ends at that place ends; another than ``frame`` only where the music waits just there."""
        return self._time.reached(quarters)

    def bounds(self, target: Target) -> tuple[int, int]:
        """First frame of a target and the one after its last."""
        return self.frame(target.onset_quarters), self.reached(target.end_quarters)

    def reference(self, target: Target) -> Reference:
        """The target's reference steps on the frame axis."""
        return tuple((self.frame(s.from_quarters), self.reached(s.to_quarters), s.pitch_c100) for s in target.steps)

    def span(self, target: Target, from_quarters: Fraction, to_quarters: Fraction) -> Span:
        """The stretch of a target from one place to another; the whole of it when they are its own ends."""
        from_frame, to_frame = self.frame(from_quarters), self.reached(to_quarters)
        own_start = from_quarters == target.onset_quarters
        own_end = to_quarters == target.end_quarters
        before, after = self._beside(target, -1), self._beside(target, 1)
        own_from, own_to = self.bounds(target)
        reach = ms_to_frames(REACH_MS)
        return Span(
            from_frame,
            to_frame,
            own_start,
            own_end,
            self.reference(target),
            self._heard_from(before, own_from),
            min(own_to + reach, self._middle(after, own_to + reach)),
            before.steps[-1].pitch_c100 if before is not None and before.steps else None,
            after.steps[0].pitch_c100 if after is not None and after.steps else None,
        )

    def _heard_from(self, before: Target | None, own_from: int) -> int:
        """From where on sound may be this target's: all of a rest before it, half of a note before it."""
        if before is None:
            return own_from - ms_to_frames(REACH_MS)
        if before.pitch is None:
            return min(self.bounds(before)[0], own_from - ms_to_frames(REACH_MS // 2))
        return max(own_from - ms_to_frames(REACH_MS), self._middle(before, own_from))

    def whole(self, target: Target) -> Span:
        """The span of a whole target."""
        return self.span(target, target.onset_quarters, target.end_quarters)

    def on_time_frames(self, target: Target, on_time_ms: int) -> int:
        """How far an onset may lie off: the given time, at most a quarter of the shortest neighbouring note."""
        lengths = []
        for beside in (self._beside(target, -1), target, self._beside(target, 1)):
            if beside is not None and beside.pitch is not None:
                from_frame, to_frame = self.bounds(beside)
                lengths.append(to_frame - from_frame)
        return min(ms_to_frames(on_time_ms), min(lengths) // 4)

    def beat_frames(self, target: Target) -> int:
        """Length of one beat where the target begins."""
        beat = self.plan.bars.at(target.onset_quarters).meter.beat_quarters
        return self.frame(target.onset_quarters + beat) - self.frame(target.onset_quarters)

    def nothing_follows(self, target: Target) -> bool:
        """Whether a rest or the end comes after the target."""
        after = self._beside(target, 1)
        return after is None or after.pitch is None

    def own_around(self, target: Target) -> tuple[int, ...]:
        """References of the own notes just before and after, across a rest too."""
        found = []
        for step in (-1, 1):
            k = target.index + step
            while 0 <= k < len(self.targets) and not self.targets[k].steps:
                k += step
            if 0 <= k < len(self.targets):
                found.append(self.targets[k].steps[-1 if step < 0 else 0].pitch_c100)
        return tuple(found)

    def neighbours(self, target: Target) -> tuple[Neighbour, ...]:
        """Every other voice's note around a target."""
        return tuple(
            Neighbour(
                company.line_index,
                company.voice,
                self.frame(company.onset_quarters),
                self.reached(company.end_quarters),
                company.steps[0].pitch_c100,
            )
            for company in target.company
        )

    def all_notes(self, line_index: int) -> list[Neighbour]:
        """Every note of one line on the frame axis."""
        line, steps = self.plan.score.lines[line_index], self.plan.references[line_index]
        return [
            Neighbour(
                line_index, line.name, self.frame(n.onset_quarters), self.frame(n.end_quarters), steps[k][0].pitch_c100
            )
            for k, n in enumerate(line.notes)
        ]

    def _beside(self, target: Target, step: int) -> Target | None:
        k = target.index + step
        return self.targets[k] if 0 <= k < len(self.targets) else None

    def _middle(self, target: Target | None, otherwise: int) -> int:
        if target is None:
            return otherwise
        from_frame, to_frame = self.bounds(target)
        return (from_frame + to_frame) // 2
