"""The last seconds of what was heard and played, on one axis."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray


class Past:
    """Holds at least *keep_frames* of both.

    Parameters
    ----------
    keep_frames : int
    start_frame : int
        Of the first sound.
    """

    def __init__(self, keep_frames: int, start_frame: int) -> None:
        self._keep = keep_frames
        self._sounds = np.zeros((2, 3 * keep_frames), np.float32)
        self._count = 0
        self.end_frame = start_frame

    def add(self, heard: NDArray[np.float32], played: NDArray[np.float32]) -> None:
        """More of both, of equal length."""
        for begin in range(0, len(heard), self._keep):
            self._add(heard[begin : begin + self._keep], played[begin : begin + self._keep])

    def until(self, end_frame: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """What was heard and played in the last *keep_frames* before *end_frame*, or since the beginning."""
        last = self._count - (self.end_frame - end_frame)
        both = self._sounds[:, max(0, last - self._keep) : last].astype(np.float64)
        return both[0], both[1]

    def played_from(self, from_frame: int) -> NDArray[np.float32]:
        """Everything played since *from_frame*."""
        return self._sounds[1, self._count - (self.end_frame - from_frame) : self._count].copy()

    def sounding(self, from_frame: int, to_frame: int) -> float:
        """Mean power of what was played in [from, to)."""
        first = self._count - (self.end_frame - from_frame)
        played = self._sounds[1, max(first, 0) : first + to_frame - from_frame]
        return float(played @ played) / len(played) if len(played) else 0.0

    def _add(self, heard: NDArray[np.float32], played: NDArray[np.float32]) -> None:
        count = len(heard)
        if self._count + count > self._sounds.shape[1]:
            last = min(self._count, 2 * self._keep)
            self._sounds[:, :last] = self._sounds[:, self._count - last : self._count].copy()
            self._count = last
        self._sounds[0, self._count : self._count + count] = heard
        self._sounds[1, self._count : self._count + count] = played
        self._count += count
        self.end_frame += count
