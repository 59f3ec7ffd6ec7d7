"""Spectra of two sounds side by side, hop by hop on the frame axis."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audio.canceller._filter import BLOCK_FRAMES
from audio.units import RATE_HZ

Floats = NDArray[np.float32]
Sound = NDArray[np.float32]

WINDOW_FRAMES = 2048
"""85 ms: harmonics of the lowest bass stand apart."""

HOP_FRAMES = 2 * BLOCK_FRAMES
BIN_HZ = RATE_HZ / WINDOW_FRAMES
BINS = 448
"""Up to 5.2 kHz, where voices have their strength."""

_WINDOW = 0.5 - 0.5 * np.cos(2 * np.pi * np.arange(WINDOW_FRAMES) / WINDOW_FRAMES)
_SCALED = (_WINDOW * np.sqrt(2.0 / (WINDOW_FRAMES * np.square(_WINDOW).sum()))).astype(np.float32)


@dataclass(frozen=True, slots=True, eq=False)
class Spectra:
    """What was left, what was taken away, and what was played, shape (BINS,) each; powers summed over bins are powers, full scale 1."""

    centre_frame: int
    left_bins: NDArray[np.complex64]
    taken_bins: NDArray[np.complex64]
    played_bins: NDArray[np.complex64]

    @property
    def left(self) -> Floats:
        """Power of what was left."""
        return power(self.left_bins)

    @property
    def played(self) -> Floats:
        """Power of what was played."""
        return power(self.played_bins)


class Spectrograph:
    """Keeps the last window of the three sounds."""

    def __init__(self) -> None:
        self._sounds = np.zeros((3, WINDOW_FRAMES + HOP_FRAMES), np.float32)
        self._end = WINDOW_FRAMES

    def add(self, left: Sound, taken: Sound, played: Sound, end_frame: int) -> Spectra | None:
        """One block more, ending at *end_frame*; the spectra of the window that ends there, at every second block."""
        if self._end + BLOCK_FRAMES > self._sounds.shape[1]:
            self._sounds[:, : WINDOW_FRAMES - BLOCK_FRAMES] = self._sounds[
                :, self._end + BLOCK_FRAMES - WINDOW_FRAMES : self._end
            ]
            self._end = WINDOW_FRAMES - BLOCK_FRAMES
        for row, sound in enumerate((left, taken, played)):
            self._sounds[row, self._end : self._end + BLOCK_FRAMES] = sound
        self._end += BLOCK_FRAMES
        if end_frame % HOP_FRAMES:
            return None
        bins = np.fft.rfft(self._sounds[:, self._end - WINDOW_FRAMES : self._end] * _SCALED)[:, :BINS]
        bins = np.asarray(bins, np.complex64)
        return Spectra(end_frame - WINDOW_FRAMES // 2, *bins)


def power(bins: NDArray[np.complex64]) -> Floats:
    """Power of each bin."""
    squared: Floats = np.square(bins.real) + np.square(bins.imag)
    return squared
