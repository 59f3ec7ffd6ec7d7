"""What all instruments that hold a tone share: tables for the wave, a breath for the loudness, a little noise."""

from __future__ import annotations

import numpy as np

from audio.air import NOISE_FRAMES, breath_noise
from audio.block import Samples
from audio.curve import PitchStep
from audio.instruments import LEVEL_DBFS
from audio.phrase import Breath, Phrase, Sung
from audio.wave_tables import Spectrum, WaveTables


class Sustained:
    """An instrument that holds its tone.

    Parameters
    ----------
    spectrum : callable
        Strength of each harmonic, see ``audio.wave_tables``.
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
            noise = breath_noise(seed, LEVEL_DBFS + self._noise_db)
            sound = sound + noise[np.arange(from_frame, to_frame) % NOISE_FRAMES]
        gain = self._breath.along(phrase, from_frame, to_frame)
        return (sound * gain).astype(np.float32)
