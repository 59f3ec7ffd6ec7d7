"""A keyed line while it is being played: each beat judged once music time has passed it.

Keys tell nothing while they rest, so the time comes from the anchors that a live take tells at every beat. A MIDI file has none and
its beats are all told at the end.
"""

from __future__ import annotations

from dataclasses import replace

from audio.heard import OPEN_KEY, Gap, KeyNote
from trainer.judge.keyline import KeyLine
from trainer.practice.plan import LinePlan, Plan
from trainer.practice.take import BeatVerdict
from trainer.practice.timemap import TimeMap


class RunningKeys:
    """Beats of one keyed line as they end.

    Parameters
    ----------
    plan, line : Plan, LinePlan
    time : TimeMap
        Grows while the take runs.
    keys : list of KeyNote
        Grows too; a key still down ends at ``OPEN_KEY``.
    gaps : list of Gap
    """

    def __init__(self, plan: Plan, line: LinePlan, time: TimeMap, keys: list[KeyNote], gaps: list[Gap]) -> None:
        self._plan, self._line, self._time, self._keys, self._gaps = plan, line, time, keys, gaps
        self._beats = plan.bars.beats()
        self._next = 0

    @property
    def now_frame(self) -> int:
        """How far the take is known."""
        return self._time.anchors[-1].frame

    def due(self) -> list[BeatVerdict]:
        """Beats that music time has passed and that were not told yet."""
        if self._time.waits:
            return []
        passed = self._time.anchors[-1].quarters
        end = self._next
        while end < len(self._beats) and sum(self._beats[end]) <= passed:
            end += 1
        return self._until(end)

    def rest(self) -> list[BeatVerdict]:
        """The beats that are left when the take ends."""
        return self._until(len(self._beats))

    def _until(self, end: int) -> list[BeatVerdict]:
        first, self._next = self._next, end
        if first == end:
            return []
        beats = KeyLine(self._plan, self._line, self._time, closed(self._keys, self.now_frame), self._gaps).beats()
        return list(beats[first:end])


def closed(keys: list[KeyNote], at_frame: int) -> list[KeyNote]:
    """The keys, those still down let go at *at_frame*."""
    return [
        replace(key, off_frame=max(key.on_frame + 1, at_frame)) if key.off_frame >= OPEN_KEY else key for key in keys
    ]


def with_key(keys: list[KeyNote], key: KeyNote) -> None:
    """Add *key*; where it is a key that was down, told again at its release, it takes that one's place."""
    for k in range(len(keys) - 1, -1, -1):
        before = keys[k]
        if before.off_frame >= OPEN_KEY and (before.on_frame, before.midi) == (key.on_frame, key.midi):
            keys[k] = key
            return
    keys.append(key)
