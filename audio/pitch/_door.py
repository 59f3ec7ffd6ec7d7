"""From blocks of any kind to unbroken stretches of one line's sound at ``RATE_HZ``."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audio.block import Block
from audio.resample import Resampler
from audio.units import RATE_HZ

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Stretch:
    """More sound, from ``start_frame`` at ``RATE_HZ``. Not ``joined`` means that sound was lost before it."""

    sound: Floats
    start_frame: int
    joined: bool


class Door:
    """Resamples, mends and watches for losses.

    ``bad`` lists the stretches, (from, to) in frames at ``RATE_HZ``, whose samples were not numbers; the oldest first.
    """

    def __init__(self, channel: str) -> None:
        self._channel = channel
        self._resampler = Resampler(channel)
        self.bad: list[tuple[int, int]] = []

    def reset(self) -> None:
        """As new."""
        self._resampler.reset()
        self.bad = []

    def feed(self, block: Block) -> list[Stretch]:
        """What this block makes known."""
        wrong = ~np.isfinite(block.channel(self._channel))
        if wrong.any():
            edges = np.flatnonzero(np.diff(np.concatenate(([False], wrong, [False])).astype(np.int8)))
            for begin, end in edges.reshape(-1, 2).tolist():
                first = (block.start_frame + begin) * RATE_HZ // block.rate_hz
                last = -(-(block.start_frame + end) * RATE_HZ // block.rate_hz)
                if self.bad and self.bad[-1][1] >= first:  # one stretch, however the blocks were cut
                    first = self.bad.pop()[0]
                self.bad.append((first, last))
        return [_stretch(out) for out in self._resampler.feed(block)]

    def forget_bad_before(self, frame: int) -> None:
        """Nobody asks about the sound before ``frame`` any more."""
        self.bad = [(begin, end) for begin, end in self.bad if end > frame]

    def flush(self) -> list[Stretch]:
        """The last of the sound."""
        return [_stretch(out) for out in self._resampler.flush()]


def _stretch(block: Block) -> Stretch:
    return Stretch(block.samples[:, 0].astype(np.float64), block.start_frame, block.lost_frames_before == 0)
