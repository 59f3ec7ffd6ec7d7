"""Where a take and its music time lie on the link's axis, and the half of a link that sounds. Frames are *played* frames at its rate."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Protocol

from audio.block import Samples


class Sink(Protocol):
    """The sounding half of ``audio.devices.SoundLink``."""

    @property
    def rate_hz(self) -> int: ...  # noqa: D102
    @property
    def channels_out(self) -> int: ...  # noqa: D102
    def write_until(self) -> int: ...  # noqa: D102
    def play(self, start_frame: int, samples: Samples) -> int: ...  # noqa: D102


@dataclass(frozen=True, slots=True)
class Point:
    """From the played ``frame`` on music time runs from ``quarters``; at 0 quarters a minute it waits."""

    frame: int
    quarters: Fraction
    quarters_per_minute: Fraction


@dataclass(frozen=True, slots=True)
class Begun:
    """A take laid out on the link's axis, in played frames: where its counting begins, quarter 0, and the music's end."""

    count_frame: int
    music_frame: int
    end_frame: int


class MusicTime:
    """Points along the link's axis, each holding until the next.

    Parameters
    ----------
    rate_hz : int
    """

    def __init__(self, rate_hz: int) -> None:
        self._rate_hz = rate_hz
        self._points: list[Point] = []
        self._told = 0
        self.waiting: Point | None = None
        """Where it waits, and has not been told to go on."""

    def begin_anew(self) -> None:
        """Forget everything."""
        self._points, self._told, self.waiting = [], 0, None

    def go_on(self, points: Iterable[Point]) -> None:
        """From the first of these points on it runs as they say; where it waited before, it still has."""
        new = list(points)
        self._points = [p for p in self._points if p.frame < new[0].frame or p.quarters_per_minute == 0] + new
        self.waiting = None

    def wait(self, frame: int, quarters: Fraction) -> None:
        """It waits from *frame* on, at *quarters*."""
        self.waiting = Point(frame, quarters, Fraction(0))
        self._points = [*(point for point in self._points if point.frame < frame), self.waiting]

    def due(self, now_frame: int) -> Iterator[Point]:
        """Points whose time has come since this was last asked; the first of a take comes at once."""
        while self._told < len(self._points) and (self._told == 0 or self._points[self._told].frame <= now_frame):
            self._told += 1
            yield self._points[self._told - 1]

    def in_force(self, frame: int) -> Point | None:
        """The point that holds at a frame; None while nothing was begun."""
        here = self._points[0] if self._points else None
        for point in self._points[1:]:
            if point.frame <= frame:
                here = point
        return here

    def quarters(self, frame: int) -> Fraction | None:
        """Music time at a frame, negative while bars are counted; None when nothing was begun."""
        here = self.in_force(frame)
        if here is None:
            return None
        return here.quarters + Fraction(frame - here.frame, self._rate_hz) * here.quarters_per_minute / 60

    def frame_of(self, quarters: Fraction) -> int:
        """Where it goes on from *quarters*: the last of several points at one place leads on; what one leaps over lies at its frame."""
        index = max((k for k, point in enumerate(self._points) if point.quarters <= quarters), default=0)
        here, after = self._points[index], self._points[index + 1 : index + 2]
        if here.quarters_per_minute == 0:
            return after[0].frame if after else here.frame
        frame = here.frame + round((quarters - here.quarters) * 60 / here.quarters_per_minute * self._rate_hz)
        return min(frame, after[0].frame) if after else frame
