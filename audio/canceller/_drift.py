"""Two devices, two clocks: how the echo slides against what was foretold, followed by a loop of second order.

Where the echo comes d frames later than foretold, what is left is the derivative of what was foretold times -d; so d is told by their
cross spectrum, weighted by how clear each bin is. The loop is the usual delay lock (Gardner, Phaselock Techniques, from memory).
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from audio.canceller._spectra import BINS, HOP_FRAMES, WINDOW_FRAMES, power
from audio.compiled import Step
from audio.units import RATE_HZ

NATURAL_RADIANS = 1.2
"""A second: 100 ppm are found in about three, one loud singer moves it by hundredths of a frame."""

_HOP_SECONDS = HOP_FRAMES / RATE_HZ
PLACE_GAIN = 2.0 * NATURAL_RADIANS * _HOP_SECONDS
RATE_GAIN = NATURAL_RADIANS**2 * _HOP_SECONDS / RATE_HZ
MOST = 4e-4
"""400 ppm: cheap crystals stay within 100."""

MOST_FRAMES = 1.0
FEWEST_BINS = 8
OMEGA = 2.0 * np.pi * np.arange(BINS) / WINDOW_FRAMES
OMEGA_SQUARE = np.square(OMEGA)


def late_frames(left: NDArray[np.complex64], taken: NDArray[np.complex64]) -> float | None:
    """By how many frames the echo comes later than foretold; None where it cannot be told."""
    late = LATE.now(left, taken, left * np.conj(taken))
    return late if abs(late) <= MOST_FRAMES else None


def _late(left: NDArray[np.complex64], taken: NDArray[np.complex64], across: NDArray[np.complex64]) -> float:
    """The same from the cross spectrum as well, which numpy multiplies out for both bodies; infinite where it cannot be told."""
    loud, rest = power(taken), power(left)
    tells = (loud > 1e-3 * loud.max()) & (rest < 0.5 * loud) & (loud > 1e-12)
    if np.count_nonzero(tells) < FEWEST_BINS:
        return math.inf
    weight = tells / (rest + 1e-2 * loud + 1e-20)
    slope = float((OMEGA * weight * across.imag).sum())
    return float(np.clip(-slope / float((OMEGA_SQUARE * weight * loud).sum()), -MOST_FRAMES, MOST_FRAMES))


LATE = Step(_late, "audio.canceller.compiled", "late")
