"""Pitch trackers. Adding one is adding a file here that registers itself in ``TRACKERS``.

A tracker takes blocks of its own line's channel at any rate (it resamples at its door), and gives integers:
``PitchFrame`` records whose ``centre_frame`` is the centre of the sound that the estimate used.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Protocol

from audio.block import Block
from audio.heard import Gap, PitchFrame
from audio.registry import Registry

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Besides = Callable[["NDArray[np.int64]"], "NDArray[np.float64] | None"]
"""Of estimates at these centre frames: what is known to sound besides the singer, as power in each bin of ``RATE_HZ / 2048`` from 0
Hz on, shape (estimates, 448), full scale 1 and summed over bins the sound's own; None for nothing. It has to answer alike however the
sound was cut into blocks."""


def nothing_besides(_centre_frames: NDArray[np.int64]) -> None:
    """Nobody knows of anything but the singer."""


class Tracker(Protocol):
    """A stage from sound to pitch, see ``audio.stage.Stage``."""

    @property
    def latency_frames(self) -> int:
        """Frames at ``RATE_HZ`` from the centre of an estimate to the last sound that it waits for."""
        ...

    @property
    def hop_frames(self) -> int:
        """Frames at ``RATE_HZ`` between estimates; 5 to 10 ms."""
        ...

    def feed(self, block: Block) -> list[PitchFrame | Gap]:
        """Estimates that this block makes known, in time order; a Gap where sound was lost."""
        ...

    def flush(self) -> list[PitchFrame | Gap]:
        """Estimates still to come when the sound ends."""
        ...

    def reset(self) -> None:
        """As new."""
        ...


TrackerMaker = Callable[..., Tracker]
"""Called as ``maker(line=0, channel="mic1", lowest_hz=..., highest_hz=..., besides=nothing_besides)``."""

TRACKERS: Registry[TrackerMaker] = Registry("pitch trackers")

DEFAULT_TRACKER = "comb"
"""Key of the tracker to use when nobody asked for another."""
