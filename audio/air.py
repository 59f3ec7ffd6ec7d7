"""Soft noise as of breath or a quiet room, in a loop without a seam."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from audio.units import db_to_gain

NOISE_FRAMES = 1 << 17
"""The noise goes round after this many frames, nearly three seconds at 48 kHz: too long to be heard as a loop."""


@lru_cache(maxsize=8)
def breath_noise(seed: int, level_dbfs: float) -> NDArray[np.float32]:
    """A seamless loop of soft noise at *level_dbfs*: float32, shape (NOISE_FRAMES,), read-only."""
    bins = np.fft.rfft(np.random.default_rng(seed).standard_normal(NOISE_FRAMES))
    part = np.arange(len(bins)) / len(bins)
    bins *= part / (part**2 + 0.05**2)  # swells to a twentieth of the band, then falls off 6 dB an octave
    noise = np.fft.irfft(bins)
    noise *= db_to_gain(level_dbfs) / np.sqrt(np.mean(noise**2))
    soft = noise.astype(np.float32)
    soft.setflags(write=False)
    return soft
