"""From frames to music time and back. The judge gets time from nowhere else.

A fixed tempo is one anchor, a score with tempo changes a few, and a take that yields, waits or loops as many as it needs.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from fractions import Fraction

from audio.heard import Anchor
from audio.units import RATE_HZ, seconds_to_frames
from trainer.score.time import TempoMap


class TimeMap:
    """Anchors in frame order, each holding until the next.

    Parameters
    ----------
    anchors : iterable of Anchor
        At least one; later ones may be added while the take runs.
    """

    def __init__(self, anchors: Iterable[Anchor]) -> None:
        self._anchors: list[Anchor] = []
        for anchor in anchors:
            self.add(anchor)
        if not self._anchors:
            raise ValueError("a time map needs an anchor")

    @property
    def anchors(self) -> tuple[Anchor, ...]:
        """Every anchor so far."""
        return tuple(self._anchors)

    @property
    def waits(self) -> bool:
        """Whether music time stands still at the end of all that is known."""
        return self._anchors[-1].quarters_per_minute == 0

    def add(self, anchor: Anchor) -> None:
        """A further anchor. Raises ValueError when it lies before the last one's frame or turns music time back."""
        if self._anchors:
            last = self._anchors[-1]
            if anchor.frame < last.frame or anchor.quarters < last.quarters:
                raise ValueError(f"an anchor at frame {anchor.frame}, quarter {anchor.quarters} goes backwards")
            if anchor.frame == last.frame:
                self._anchors.pop()
        self._anchors.append(anchor)

    def quarters(self, frame: int) -> Fraction:
        """Music time at *frame*; before the first anchor it counts back at the first tempo."""
        index = max(bisect_right(self._anchors, frame, key=lambda a: a.frame) - 1, 0)
        anchor = self._anchors[index]
        return anchor.quarters + Fraction(frame - anchor.frame, RATE_HZ) * anchor.quarters_per_minute / 60

    def frame(self, quarters: Fraction) -> int:
        """Frame at which music time goes on from *quarters*, to the nearest frame."""
        index = max(bisect_right(self._anchors, quarters, key=lambda a: a.quarters) - 1, 0)
        # of several anchors at one place (a wait), the last one leads on
        anchor = self._anchors[index]
        while anchor.quarters_per_minute == 0 and index + 1 < len(self._anchors):
            index += 1
            anchor = self._anchors[index]
        if anchor.quarters_per_minute == 0:
            raise ValueError(f"music time waits at quarter {anchor.quarters} and never reaches {quarters}")
        return self._within(index, quarters)

    def reached(self, quarters: Fraction) -> int:
        """First frame at which music time comes to *quarters*: where it waits just there, the frame at which the wait begins."""
        index = max(bisect_left(self._anchors, quarters, key=lambda a: a.quarters) - 1, 0)
        anchor = self._anchors[index]
        if anchor.quarters_per_minute == 0:
            return self.frame(quarters)
        return self._within(index, quarters)

    def _within(self, index: int, quarters: Fraction) -> int:
        """The frame at which an anchor comes to *quarters*; what the next one leaps over begins where it leaps."""
        anchor = self._anchors[index]
        frame = anchor.frame + round((quarters - anchor.quarters) * 60 * RATE_HZ / anchor.quarters_per_minute)
        return min(frame, self._anchors[index + 1].frame) if index + 1 < len(self._anchors) else frame


def fixed_time(tempo: TempoMap, *, first_full_quarters: Fraction, starts_at_s: Fraction) -> TimeMap:
    """The map of a take made to a click: bar 1 beat 1 (``first_full_quarters``) falls at ``starts_at_s``."""
    zero_s = starts_at_s - tempo.seconds(first_full_quarters)
    return TimeMap(Anchor(seconds_to_frames(zero_s + tempo.seconds(at)), at, qpm) for at, qpm in tempo.points)
