"""What the microphone is doing, for people: perfect silence, a room, a voice. Fed with the blocks that the take is made of."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from audio.block import Block

ZEROS_SECONDS = 1.0
ZEROS_AGAIN_SECONDS = 5.0
"""The same once something was heard: a headset that gates its noise is silent between phrases, not muted."""

LEVEL_SECONDS = 0.1
FLOOR_DBFS = -120.0
PERFECT_SILENCE = (
    "The microphone sends perfect silence: this terminal may not be allowed to use it, or it is muted. "
    "heldline soundcheck says more."
)


class MicrophoneWatch:
    """Level of the last tenth of a second, and how long there were nothing but zeros."""

    def __init__(self, channel: str = "mic1") -> None:
        self._channel = channel
        self._zeros_seconds = 0.0
        self._heard = ""
        self.level_dbfs = FLOOR_DBFS

    def feed(self, blocks: Iterable[Block]) -> None:
        """Look at these blocks."""
        for block in blocks:
            if self._channel not in block.channels:
                continue
            sound = block.channel(self._channel)
            if np.any(sound):
                self._zeros_seconds, self._heard = 0.0, "something"
            else:
                self._zeros_seconds += len(sound) / block.rate_hz
            last = np.asarray(sound[-round(LEVEL_SECONDS * block.rate_hz) :], np.float64)
            if len(last):
                self.level_dbfs = max(FLOOR_DBFS, float(10 * np.log10(max(float(np.mean(last**2)), 1e-12))))

    @property
    def notice(self) -> str:
        """A sentence where something is wrong, else ""."""
        limit = ZEROS_AGAIN_SECONDS if self._heard else ZEROS_SECONDS
        return PERFECT_SILENCE if self._zeros_seconds >= limit else ""
