"""Where a take lies on the link's axis, and the half of a link that sounds. Frames here are *played* frames at the link's rate."""

from __future__ import annotations

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
