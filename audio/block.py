"""Sound with its own place in time."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from audio.errors import SignalError

Samples = NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """A stretch of sound, one or more named channels on one frame axis.

    Parameters
    ----------
    samples : float32 array, shape (n, channels), in [-1, 1]
        Made read-only.
    channels : tuple of str
        One name a column: "mic1", "mic2" ... for microphones, "played1" ... for what really left our loudspeaker.
    start_frame : int
        Frame of the first row, counted at ``rate_hz`` since the stream began, lost frames included.
    rate_hz : int
    lost_frames_before : int
        Frames that the driver dropped just before this block. They are already counted in ``start_frame``.
    host_seconds : float or None
        The driver's own stamp, a hint to be checked, never the clock.
    """

    samples: Samples
    channels: tuple[str, ...]
    start_frame: int
    rate_hz: int
    lost_frames_before: int = 0
    host_seconds: float | None = None

    def __post_init__(self) -> None:
        """Refuse what would be wrong for everybody."""
        if self.samples.ndim != 2 or self.samples.shape[1] != len(self.channels):
            raise SignalError(f"a block of shape {self.samples.shape} does not fit {len(self.channels)} channels")
        if self.rate_hz <= 0:
            raise SignalError(f"a rate of {self.rate_hz} Hz is not possible")
        self.samples.setflags(write=False)

    def channel(self, name: str) -> Samples:
        """One channel, shape (n,). Raises KeyError when the block has no such channel."""
        if name not in self.channels:
            raise KeyError(name)
        return self.samples[:, self.channels.index(name)]

    @property
    def end_frame(self) -> int:
        """The frame after the last row."""
        return self.start_frame + len(self.samples)


class Sieve:
    """Passes on what is sound. What is no number is lost sound: nobody may say that it was silence."""

    def __init__(self) -> None:
        self._lost = 0

    def feed(self, block: Block) -> Iterator[Block]:
        """What of *block* is sound, with what was lost before it."""
        good = np.isfinite(block.samples).all(axis=1)
        self._lost += block.lost_frames_before
        edges = np.flatnonzero(np.diff(np.concatenate(([0], good, [0])))).reshape(-1, 2)
        end = 0
        for begin, after in edges.tolist():
            lost, self._lost = self._lost + begin - end, 0
            rows = block.samples[begin:after]
            yield replace(block, samples=rows, start_frame=block.start_frame + begin, lost_frames_before=lost)
            end = after
        self._lost += len(block.samples) - end
