"""From blocks of any kind to unbroken stretches of one line's sound at ``RATE_HZ``."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from audio.block import Block, Samples
from audio.resample import Piece, Resampler
from audio.units import RATE_HZ


@dataclass(frozen=True, slots=True, eq=False)
class Stretch:
    """More sound, from ``start_frame`` at ``RATE_HZ``. Not ``joined`` means that sound was lost before it."""

    sound: Samples
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
        pieces = self._resampler.pieces(block)
        if self._resampler.wrong:
            self._remember(block)
        return [_stretch(piece) for piece in pieces]

    def _remember(self, block: Block) -> None:
        """Where a block is no sound."""
        wrong = ~np.isfinite(block.channel(self._channel))
        edges = np.flatnonzero(np.diff(np.concatenate(([False], wrong, [False])).astype(np.int8)))
        for begin, end in edges.reshape(-1, 2).tolist():
            first = (block.start_frame + begin) * RATE_HZ // block.rate_hz
            last = -(-(block.start_frame + end) * RATE_HZ // block.rate_hz)
            if self.bad and self.bad[-1][1] >= first:  # one stretch, however the blocks were cut
                first = self.bad.pop()[0]
            self.bad.append((first, last))

    def forget_bad_before(self, frame: int) -> None:
        """Nobody asks about the sound before ``frame`` any more."""
        self.bad = [(begin, end) for begin, end in self.bad if end > frame]

    def flush(self) -> list[Stretch]:
        """The last of the sound."""
        return [_stretch(piece) for piece in self._resampler.last_pieces()]


def _stretch(piece: Piece) -> Stretch:
    sound, start_frame, lost = piece
    return Stretch(sound, start_frame, lost == 0)
