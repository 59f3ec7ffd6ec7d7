"""The two streams of one link brought on to one axis: the microphone's sound is laid where the output's frames say it belongs."""

from __future__ import annotations

from typing import Any

import numpy as np

from audio.block import Block
from audio.devices import _rings as at
from audio.devices._following import Clock, Follower
from audio.devices._rings import RING_FRAMES, Fence, Shared
from audio.devices._side import SPARE_FRAMES, Side, stretches


class Meeting:
    """Reads a link of two streams.

    Parameters
    ----------
    side : Side
        Of the output, whose frames are the axis.
    shared : Shared
    input_rate_hz : int
    """

    def __init__(self, side: Side, shared: Shared, input_rate_hz: int) -> None:
        self._side = side
        self._shared = shared
        self._fence = Fence()
        self._output = Clock(side.rate_hz)
        self._follower = Follower(self._output, input_rate_hz, side.channels_in, shared.heard.get)
        self._read_input = 0

    def read(self) -> list[Block]:
        """As ``SoundLink.read``."""
        for first, last in stretches(self._side.new_records()):
            start, end = int(first[at.START]), int(last[at.START] + last[at.COUNT])
            self._output.look(end, int(last[at.HOST_NS]) / 1e9)
            self._follower.laid(start, end, int(first[at.HOST_NS]) / 1e9)
        for first, last in stretches(self._new_input()):
            end = int(last[at.START] + last[at.COUNT])
            self._follower.heard(int(first[at.START]), end, end, int(last[at.HOST_NS]) / 1e9)
        if not self._follower.ready:
            self._follower.pass_over()
            return []
        blocks = []
        for piece in self._follower.given():
            samples = np.empty((len(piece.samples), len(self._side.names)), np.float32)
            samples[:, : self._side.channels_in] = piece.samples
            blocks.append(self._side.block(piece.start, samples, piece.host_seconds))
        return blocks

    def _new_input(self) -> list[Any]:
        count = int(self._shared.header[at.INPUT_CALLBACKS])
        first = max(self._read_input, count - at.RECORDS // 2)
        self._fence()
        wanted = [self._shared.input_records[index % at.RECORDS].copy() for index in range(first, count)]
        newest = int(wanted[-1][at.START]) if wanted else 0
        kept = [row for row in wanted if row[at.START] >= newest - RING_FRAMES + SPARE_FRAMES]
        if len(kept) < count - self._read_input:
            self._side.overrun(self._side.taken, 0)
        self._read_input = count
        return kept
