"""Four voice-like instruments, each on its own vowel, without vibrato.

Source and filter as in Fant (1960): a soft glottal spectrum falling faster than 12 dB an octave, lifted 6 dB an octave by the mouth,
shaped by the resonances of a vowel. Formant frequencies: averages of men and of women in Peterson & Barney (1952), JASA 24, 175-184,
table II; the fourth formant, bandwidths and tilt are ours, set by ear. Where a note lies above its vowel's first formant the formant
follows it up, as singers do (Sundberg 1987, from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audio.instruments import INSTRUMENTS
from audio.instruments._sustained import Sustained
from audio.phrase import Breath

BANDWIDTHS_HZ = (80.0, 100.0, 140.0, 220.0)
LIFTED_WIDTH = 0.25
"""Least width of the first formant as a part of its frequency."""


@dataclass(frozen=True, slots=True)
class Vowel:
    """Four formants in hertz, and how many decibels an octave the source falls beyond the usual 12."""

    formants_hz: tuple[float, float, float, float]
    extra_tilt_db: float = 2.0

    def spectrum(self, f0_hz: float, harmonic_hz: NDArray[np.float64]) -> NDArray[np.complex128]:
        """Complex strength of each harmonic."""
        number = harmonic_hz / f0_hz
        strength: NDArray[np.complex128] = (number ** (-1.0 - self.extra_tilt_db / 6.02)).astype(np.complex128)
        first_hz = max(self.formants_hz[0], f0_hz)
        # a formant that sits on the fundamental would leave nearly a sine: it is widened as it is lifted
        widths_hz = (max(BANDWIDTHS_HZ[0], LIFTED_WIDTH * first_hz), *BANDWIDTHS_HZ[1:])
        for formant_hz, width_hz in zip((first_hz, *self.formants_hz[1:]), widths_hz, strict=True):
            part = harmonic_hz / formant_hz
            strength = strength / (1 - part**2 + 1j * part * width_hz / formant_hz)
        return strength


OO_WOMAN = Vowel((370.0, 950.0, 2670.0, 3700.0))
"""As in *who'd*."""
UH_WOMAN = Vowel((760.0, 1400.0, 2780.0, 3700.0), extra_tilt_db=3.0)
"""As in *hud*."""
AH_MAN = Vowel((730.0, 1090.0, 2440.0, 3300.0))
"""As in *hod*."""
AW_MAN = Vowel((570.0, 840.0, 2410.0, 3300.0), extra_tilt_db=1.0)
"""As in *hawed*; a little brighter, so that a small loudspeaker carries its pitch."""

for _name, _vowel in (("soprano", OO_WOMAN), ("alto", UH_WOMAN), ("tenor", AH_MAN), ("bass", AW_MAN)):
    INSTRUMENTS.add(_name, Sustained(_vowel.spectrum, breath=Breath(), noise_db=-40.0), __name__)
