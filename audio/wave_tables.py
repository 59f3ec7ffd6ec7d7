"""A periodic wave read from tables, one a quarter-tone, each band-limited for its own pitch.

The caller keeps the phase, so the pitch is as exact as the phase is: nothing of it lives in the tables.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from audio.units import db_to_gain

TABLE_FRAMES = 4096
"""Straight-line reading leaves an error of (2 pi h / 4096)^2 / 8 of harmonic h: -60 dB of a harmonic that is itself weak at h = 60."""

LOWEST_HZ = 20.0
PER_OCTAVE = 24
HIGHEST_HARMONIC_HZ = 7_000.0
"""A soft voice has next to nothing above; a choir at some distance even less."""

Spectrum = Callable[[float, NDArray[np.float64]], NDArray[np.complex128]]
"""``spectrum(f0_hz, harmonic_hz)`` gives the complex strength of each harmonic."""


class WaveTables:
    """Tables of one timbre at one rate, made when first needed.

    Parameters
    ----------
    spectrum : callable
    level_dbfs : float
        Effective level of every table.
    rate_hz : int
    """

    def __init__(self, spectrum: Spectrum, *, level_dbfs: float, rate_hz: int) -> None:
        self._spectrum = spectrum
        self._rms = db_to_gain(level_dbfs)
        self._top_hz = min(HIGHEST_HARMONIC_HZ, 0.45 * rate_hz)
        self._tables: dict[int, NDArray[np.float32]] = {}

    def wave(self, cycles: NDArray[np.float64], f0_hz: NDArray[np.float64]) -> NDArray[np.float32]:
        """Samples at the given phases; *cycles* and *f0_hz* have shape (n,), as has the answer."""
        if not len(cycles):
            return np.zeros(0, dtype=np.float32)
        place = np.maximum(PER_OCTAVE * np.log2(f0_hz / LOWEST_HZ), 0.0)
        rung = place.astype(np.int64)
        lowest, highest = int(rung.min()), int(rung.max())
        bank = np.concatenate([self._table(index) for index in range(lowest, highest + 2)])
        inside = (cycles - np.floor(cycles)) * TABLE_FRAMES
        whole = inside.astype(np.int64)
        along = (inside - whole).astype(np.float32)
        index = (rung - lowest) * (TABLE_FRAMES + 1) + whole
        low = bank[index] + along * (bank[index + 1] - bank[index])
        index += TABLE_FRAMES + 1
        high = bank[index] + along * (bank[index + 1] - bank[index])
        mixed: NDArray[np.float32] = low + (place - rung).astype(np.float32) * (high - low)
        return mixed

    def _table(self, rung: int) -> NDArray[np.float32]:
        found = self._tables.get(rung)
        if found is None:
            f0_hz = LOWEST_HZ * 2 ** (rung / PER_OCTAVE)
            count = max(1, min(int(self._top_hz / f0_hz), TABLE_FRAMES // 2 - 1))
            bins = np.zeros(TABLE_FRAMES // 2 + 1, dtype=np.complex128)
            bins[1 : count + 1] = self._spectrum(f0_hz, np.arange(1.0, count + 1.0) * f0_hz)
            wave = np.fft.irfft(bins)
            wave *= self._rms / np.sqrt(np.mean(wave**2))
            found = np.append(wave, wave[0]).astype(np.float32)  # one more, so that reading never wraps
            self._tables[rung] = found
        return found
