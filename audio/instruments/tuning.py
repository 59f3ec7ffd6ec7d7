"""A tuning tone: plain, steady, a few soft harmonics so that its octave is heard even on a small loudspeaker."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from audio.instruments import INSTRUMENTS
from audio.instruments._sustained import Sustained
from audio.phrase import Breath

STRENGTHS = (1.0, 0.4, 0.2, 0.1, 0.05)


def spectrum(f0_hz: float, harmonic_hz: NDArray[np.float64]) -> NDArray[np.complex128]:
    """Five harmonics, each half of the one below or less; as sines, so that the wave begins at 0."""
    number = np.round(harmonic_hz / f0_hz).astype(int)
    strengths = np.array([0.0, *STRENGTHS])
    return -1j * np.where(number < len(strengths), strengths[np.minimum(number, len(strengths) - 1)], 0.0)


INSTRUMENTS.add("tuning", Sustained(spectrum, breath=Breath(0.06, 0.2)), __name__)
