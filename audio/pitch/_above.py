"""A whistle above the compass: nearly a sine, which combs that end below it read an octave or a twelfth low.

No voice has its second harmonic and neither its first nor its third to speak of, least of all so high up; what does is a tone an octave
higher, and likewise with the third. Only pitches that leave such a tone beyond the search are looked at, so that nobody who is heard by
themselves is moved.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from audio.heard import PitchFrame
from audio.units import RATE_HZ, c100_to_hz, hz_to_c100

Floats = NDArray[np.float64]

FRAMES = 480
"""20 ms: ten periods and more."""

LEAST_HZ = 350.0
"""Lower ones may be a voice through a line that takes its first harmonic away."""

MOST_BESIDE, MOST_NOISE, OF_NOISE = 0.004, 0.02, 8.0
"""Of the strongest, all other harmonics together: 24 dB; 17 dB where they may be noise, being at most so many times what lies between the
harmonics. Pink noise 10 dB under a whistle leaves a tenth of that in the mean, and a room takes 20 dB from a voice's first harmonic now
and then."""

NEAR_C100 = 2_000
"""Steps of pitch for the first look, whose tones are kept."""

HARMONICS = (1, 2, 3, 4, 5, 6)
BETWEEN = (0.6, 1.4, 2.5, 3.5)
LIFTS_C100 = tuple(round(120_000 * math.log2(number)) for number in (1, 2, 3))
_HANN = 0.5 - 0.5 * np.cos(2.0 * np.pi * (np.arange(FRAMES) + 0.5) / FRAMES)
_GAIN = float(_HANN.sum()) ** 2 / 2.0
"""Of a sine's mean square in its power."""

_ANGLES = 2.0 * np.pi * (np.arange(FRAMES) + 0.5 - FRAMES / 2) / RATE_HZ


class Above:
    """Puts such hops where they are sung.

    Parameters
    ----------
    highest_hz : float
        Where the search ends.
    """

    def __init__(self, highest_hz: float) -> None:
        self._least_c100 = hz_to_c100(max(highest_hz / len(LIFTS_C100), LEAST_HZ))
        self._beyond_c100 = hz_to_c100(highest_hz)

    def lifted(self, frames: list[PitchFrame], sound: Floats, sound_from: int) -> list[PitchFrame]:
        """The same frames, ``sound[0]`` being frame *sound_from*."""
        return [
            self._lifted(frame, sound, frame.centre_frame - sound_from)
            if frame.voiced and frame.f0_c100 >= self._least_c100
            else frame
            for frame in frames
        ]

    def _lifted(self, frame: PitchFrame, sound: Floats, centre: int) -> PitchFrame:
        cut = sound[centre - FRAMES // 2 : centre + FRAMES // 2]
        real, imag = (_near(frame.f0_c100 // NEAR_C100) * cut).sum(axis=1).tolist()
        if real * real + imag * imag > MOST_NOISE * _GAIN * 10 ** (frame.level_db10 / 100.0):
            return frame  # at once, as with nearly all who sing so high
        cut, hz = cut * _HANN, c100_to_hz(frame.f0_c100)
        powers = np.array([_power(cut, number * hz) for number in HARMONICS])
        strongest = int(powers[: len(LIFTS_C100)].argmax())
        beside = powers.sum() - powers[strongest]
        if beside > MOST_NOISE * powers[strongest]:
            return frame
        noise = sum(_power(cut, number * hz) for number in BETWEEN)
        if beside > MOST_BESIDE * powers[strongest] and beside > OF_NOISE * noise:
            return frame
        lifted_c100 = frame.f0_c100 + LIFTS_C100[strongest]
        return replace(frame, f0_c100=lifted_c100) if lifted_c100 >= self._beyond_c100 else frame


@lru_cache(maxsize=128)
def _near(step: int) -> Floats:
    """Both parts of a tone in the window, shape (2, FRAMES), in the middle of this step of pitch; the window sees no difference."""
    phases = c100_to_hz((step + 0.5) * NEAR_C100) * _ANGLES
    return np.stack((np.cos(phases), np.sin(phases))) * _HANN


def _power(cut: Floats, hz: float) -> float:
    phases = hz * _ANGLES
    return float((cut * np.cos(phases)).sum() ** 2 + (cut * np.sin(phases)).sum() ** 2)
