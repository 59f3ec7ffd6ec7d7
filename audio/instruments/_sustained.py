"""What all instruments that hold a tone share: tables for the wave, a breath for the loudness, a little noise."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from audio.block import Samples
from audio.curve import PitchStep
from audio.instruments import LEVEL_DBFS
from audio.instruments._table import Spectrum, WaveTables
from audio.phrase import Breath, Phrase, Sung
from audio.units import db_to_gain

NOISE_FRAMES = 1 << 17
"""Breath noise goes round after this many frames, nearly three seconds at 48 kHz: too long to be heard as a loop."""


class Sustained:
    """An instrument that holds its tone.

    Parameters
    ----------
    spectrum : callable
        Strength of each harmonic, see ``audio.instruments._table``.
    breath : Breath
    glide_seconds : float
        How long a change of pitch inside a phrase takes.
    noise_db : float or None
        Level of breath noise against the tone; None for none.
    """

    def __init__(
        self, spectrum: Spectrum, *, breath: Breath, glide_seconds: float = 0.03, noise_db: float | None = None
    ) -> None:
        self._spectrum = spectrum
        self._breath = breath
        self._glide_seconds = glide_seconds
        self._noise_db = noise_db
        self._tables: dict[int, WaveTables] = {}

    def tables(self, rate_hz: int) -> WaveTables:
        """The wave at *rate_hz*."""
        if rate_hz not in self._tables:
            self._tables[rate_hz] = WaveTables(self._spectrum, level_dbfs=LEVEL_DBFS, rate_hz=rate_hz)
        return self._tables[rate_hz]

    def tone(self, f0_hz: float, length_frames: int, rate_hz: int, seed: int) -> Samples:
        """See ``Instrument.tone``."""
        note = Sung(0, length_frames, (PitchStep(0, f0_hz),))
        return self.phrase(Phrase((note,), rate_hz), 0, length_frames, seed)

    def phrase(self, phrase: Phrase, from_frame: int, to_frame: int, seed: int) -> Samples:
        """See ``Instrument.phrase``."""
        cycles, f0_hz = phrase.curve(self._glide_seconds).follow(from_frame, to_frame)
        sound = self.tables(phrase.rate_hz).wave(cycles, f0_hz)
        if self._noise_db is not None:
            noise = breath_noise(seed, self._noise_db)
            sound = sound + noise[np.arange(from_frame, to_frame) % NOISE_FRAMES]
        gain = self._breath.along(phrase, from_frame, to_frame)
        return (sound * gain).astype(np.float32)


@lru_cache(maxsize=8)
def breath_noise(seed: int, level_db: float) -> NDArray[np.float32]:
    """A seamless loop of soft noise, *level_db* against a tone at ``LEVEL_DBFS``; float32, shape (NOISE_FRAMES,), read-only."""
    bins = np.fft.rfft(np.random.default_rng(seed).standard_normal(NOISE_FRAMES))
    part = np.arange(len(bins)) / len(bins)
    bins *= part / (part**2 + 0.05**2)  # swells to a twentieth of the band, then falls off 6 dB an octave
    noise = np.fft.irfft(bins)
    noise *= db_to_gain(LEVEL_DBFS + level_db) / np.sqrt(np.mean(noise**2))
    soft = noise.astype(np.float32)
    soft.setflags(write=False)
    return soft
