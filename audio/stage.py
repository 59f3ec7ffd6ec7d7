"""The shape of everything that sound passes through: resampler, canceller, tracker."""

from __future__ import annotations

from typing import Protocol, TypeVar

from audio.block import Block

Out = TypeVar("Out")


class Stage(Protocol[Out]):
    """Set-up allocates, ``feed`` does not look back further than it must, ``flush`` gives what is left, ``reset`` forgets.

    The answer never depends on how the sound was cut into blocks.
    """

    @property
    def latency_frames(self) -> int:
        """Frames, at the stage's own output rate, between a sound and the last thing said of it."""
        ...

    def feed(self, block: Block) -> list[Out]:
        """Whatever this block makes known."""
        ...

    def flush(self) -> list[Out]:
        """Whatever is still to come when the sound ends."""
        ...

    def reset(self) -> None:
        """As new."""
        ...
