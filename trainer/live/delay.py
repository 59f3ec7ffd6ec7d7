"""The round trip: how much later than it left our sound comes back through the microphone, and how well that is known."""

from __future__ import annotations

import math
from dataclasses import dataclass

from audio.units import RATE_HZ

SOURCES = ("measured", "reported", "assumed", "as each device says")
"""The last is put together of what each device says of its own way."""

ASSUMED_SECONDS = 0.05
"""Where neither a measurement nor the driver says anything: between a fast sound card (10 ms) and a slow one (100 ms); our own guess."""


@dataclass(frozen=True, slots=True)
class Delay:
    """A round trip in frames of the link, and who says so; only a measured one lets timing be judged."""

    frames: int
    source: str
    rate_hz: int

    def __post_init__(self) -> None:
        """Refuse a source that nobody knows and a delay before its cause."""
        if self.source not in SOURCES or self.frames < 0 or self.rate_hz <= 0:
            raise ValueError(f"a delay of {self.frames} frames at {self.rate_hz} Hz, {self.source}, is not possible")

    @property
    def known(self) -> bool:
        """Whether late and early may be told."""
        return self.source == "measured"

    @property
    def milliseconds(self) -> float:
        """For people, to a tenth."""
        return round(self.frames * 1000 / self.rate_hz, 1)


def assumed(rate_hz: int) -> Delay:
    """What is taken when nobody knows."""
    return Delay(round(ASSUMED_SECONDS * rate_hz), "assumed", rate_hz)


@dataclass(frozen=True, slots=True)
class Axis:
    """From the link's frames to a take's own frames.

    Parameters
    ----------
    zero_frame : int
        Where the take begins on the link's axis; choose it by :func:`whole_zero`, so that the two axes share it exactly.
    delay : Delay
    """

    zero_frame: int
    delay: Delay

    def heard(self, frame: int) -> int:
        """A frame of the microphone."""
        return round((frame - self.zero_frame) * RATE_HZ / self.delay.rate_hz)

    def played(self, frame: int) -> int:
        """A frame of the loudspeaker, where it comes back through the microphone."""
        return self.heard(frame + self.delay.frames)

    def sounded(self, frame: int) -> int:
        """The loudspeaker's frame that comes back through the microphone at a frame of the take; the way back of ``played``."""
        return self.zero_frame + round(frame * self.delay.rate_hz / RATE_HZ) - self.delay.frames


def whole_zero(frame: int, rate_hz: int) -> int:
    """The last link frame up to *frame* that lies on a whole frame of the take's rate."""
    step = rate_hz // math.gcd(rate_hz, RATE_HZ)
    return frame // step * step
