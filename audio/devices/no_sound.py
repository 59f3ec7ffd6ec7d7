"""A link without any sound: only its frames go by, by the machine's own clock. For keys, or microphones, where nothing is to sound."""

from __future__ import annotations

import time
from collections.abc import Callable
from types import TracebackType
from typing import TYPE_CHECKING, Self

if TYPE_CHECKING:
    from audio.block import Block, Samples
    from audio.devices.link import Flags

BLOCK_FRAMES = 128


class NoSound:
    """A ``SoundLink`` that takes everything and sounds nothing.

    Parameters
    ----------
    now_seconds : callable
        A clock that never goes back.
    """

    rate_hz, block_frames = 48_000, BLOCK_FRAMES
    channels_in = channels_out = 0
    input_name = output_name = trouble = ""
    reported_round_trip_frames: int | None = None
    alive = True
    room_frames = 48_000 * 4

    def __init__(self, now_seconds: Callable[[], float] = time.perf_counter) -> None:
        self._now_seconds = now_seconds
        self._began = now_seconds()

    def write_until(self) -> int:
        """The frame of now."""
        return int((self._now_seconds() - self._began) * self.rate_hz)

    def play(self, start_frame: int, samples: Samples) -> int:
        """Nothing comes too late where nothing sounds."""
        del start_frame, samples
        return 0

    def read(self) -> list[Block]:
        """Nothing is heard."""
        return []

    def flags(self) -> Flags:
        """Nothing goes wrong."""
        from audio.devices.link import Flags

        return Flags()

    def close(self) -> None:
        """Nothing is held."""

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


class Counting(NoSound):
    """The same, but its frames come as blocks of no channel: an axis for devices that listen while nothing sounds."""

    reported_round_trip_frames = 0
    """Nothing has a way out."""

    def __init__(self, now_seconds: Callable[[], float] = time.perf_counter) -> None:
        super().__init__(now_seconds)
        self._read_until = 0

    def read(self) -> list[Block]:
        """What has gone by since the last call."""
        import numpy as np

        from audio.block import Block

        start, end = self._read_until, self.write_until()
        if end - start < self.block_frames:
            return []
        self._read_until = end
        began = self._began + (start + self.block_frames) / self.rate_hz
        return [Block(np.zeros((end - start, 0), np.float32), (), start, self.rate_hz, host_seconds=began)]
