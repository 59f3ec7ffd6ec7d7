"""A pitch along time, in closed form: what a note's frequency and phase are at any frame, without having made the frames before.

So a piece can be rendered in any segments, in any order, to the same samples. Between two steps the frequency moves along half a
cosine, centred on the step; the phase is its exact integral, so nothing clicks and nothing drifts.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Frames = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class PitchStep:
    """From ``at_frame`` on the pitch is ``f0_hz``, above 0."""

    at_frame: int
    f0_hz: float


@dataclass(frozen=True, slots=True, eq=False)
class PitchCurve:
    """Frequency and phase of a row of steps.

    Parameters
    ----------
    steps : tuple of PitchStep
        In time order, at least one; the first holds from the beginning of time and has phase 0 at its frame.
    rate_hz : int
    glide_frames : int
        How long a change of pitch takes; shorter where the steps lie closer together.
    """

    steps: tuple[PitchStep, ...]
    rate_hz: int
    glide_frames: int = 0
    _at: Frames = field(init=False, repr=False)
    _hz: Floats = field(init=False, repr=False)
    _cycles: Floats = field(init=False, repr=False)
    _half: Frames = field(init=False, repr=False)

    def __post_init__(self) -> None:
        """Sum the phase at every step once. Raises ValueError for steps that no sound can follow."""
        at = np.array([step.at_frame for step in self.steps], dtype=np.int64)
        hz = np.array([step.f0_hz for step in self.steps])
        if not len(at) or np.any(np.diff(at) <= 0) or np.any(hz <= 0):
            raise ValueError("pitch steps go forward and lie above 0 Hz")
        # half a cosine is symmetric, so over a whole glide the phase grows as if the step were sudden
        cycles = np.concatenate(([0.0], np.cumsum(np.diff(at) * hz[:-1] / self.rate_hz)))
        room = np.concatenate(([0], np.diff(at), [self.glide_frames]))
        half = np.minimum(self.glide_frames // 2, np.minimum(room[:-1], room[1:]) // 2)
        half[0] = 0
        for name, value in (("_at", at), ("_hz", hz), ("_cycles", cycles), ("_half", half)):
            object.__setattr__(self, name, value)

    def follow(self, from_frame: int, to_frame: int) -> tuple[Floats, Floats]:
        """Phase in cycles and frequency in hertz of every frame from *from_frame* up to *to_frame*, each shape (n,)."""
        frames = np.arange(from_frame, to_frame, dtype=np.int64)
        step = np.maximum(np.searchsorted(self._at, frames, side="right") - 1, 0)
        hz = self._hz[step]
        cycles = self._cycles[step] + hz * (frames - self._at[step]) / self.rate_hz
        first = int(np.searchsorted(self._at, from_frame - self.glide_frames))
        last = int(np.searchsorted(self._at, to_frame + self.glide_frames))
        for index in range(max(first, 1), last):
            self._bend(index, from_frame, cycles, hz)
        return cycles, hz

    def _bend(self, index: int, from_frame: int, cycles: Floats, hz: Floats) -> None:
        """Lay the glide into step *index* over arrays that begin at *from_frame*."""
        half = int(self._half[index])
        begin = int(self._at[index]) - half - from_frame
        low, high = max(begin, 0), min(begin + 2 * half, len(hz))
        if low >= high:
            return
        passed, length = np.arange(low - begin, high - begin), 2 * half
        before, after = self._hz[index - 1], self._hz[index]
        turn = np.pi * passed / length
        hz[low:high] = before + (after - before) * (1 - np.cos(turn)) / 2
        grown = before * passed + (after - before) * (passed / 2 - length / (2 * np.pi) * np.sin(turn))
        cycles[low:high] = self._cycles[index] + (grown - before * half) / self.rate_hz
