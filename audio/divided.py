"""Several people on two notes at one microphone: one middle for each note, from the harmonics that only this note has.

Where harmonics of both notes fall together (a third's fifth and fourth, all of an octave's upper note) nothing is told apart, so those are
left out; a note that has none of its own is not told. Whether anybody sings a note at all shows in the same harmonics.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from audio.block import Samples
from audio.crowd import middle_and_spread
from audio.crowd_bands import HARMONICS, Spectrum, band_in, edges_beside, power_between, spectrum_of

HEARD_DB, WITHIN_CENTS = -25.0, 60.0
"""A note is heard when the strongest of its own harmonics has, so near to it, no less than that beside all that sounds up to the last one.
Whoever sings further off sings another note. Simulated with 3 to 12 singers, of 280 notes that nobody sang none was heard, and of 280
that one to ten sang all but one, whose one singer was further off."""


@dataclass(frozen=True, slots=True)
class Half:
    """One of two notes sung at once.

    Parameters
    ----------
    heard : bool or None
        Whether anybody sings it; None where the other note covers all its harmonics.
    centre_cents : float or None
        Against the pitch looked for; None unless it is heard. Too few harmonics are left to tell a spread from a vibrato.
    """

    heard: bool | None
    centre_cents: float | None = None


def halves_of(samples: Samples, rate_hz: int, upper_hz: float, lower_hz: float) -> tuple[Half, Half]:
    """Both notes in *samples*, shape (n,), their steady middle: the upper, then the lower."""
    spectrum = spectrum_of(samples, rate_hz)
    return _half(spectrum, upper_hz, lower_hz), _half(spectrum, lower_hz, upper_hz)


def _half(spectrum: Spectrum, f0_hz: float, other_hz: float) -> Half:
    own = [(number, ends) for number in range(1, HARMONICS + 1) if (ends := edges_beside(f0_hz, number, (other_hz,)))]
    if not own:
        return Half(heard=None)
    (whole,) = power_between(spectrum, [(min(f0_hz, other_hz) / 2, (HARMONICS + 1 / 2) * max(f0_hz, other_hz))])
    bands = [band for number, ends in own if (band := band_in(spectrum, f0_hz, number, ends)) is not None]
    strongest = max((float(band.power[np.abs(band.cents) <= WITHIN_CENTS].sum()) for band in bands), default=0.0)
    if strongest < whole * 10 ** (HEARD_DB / 10) or strongest <= 0:
        return Half(heard=False)
    # with harmonics left out their sum is not the singers' whole loudness, so no single one may decide
    return Half(True, float(np.median([middle_and_spread([band])[0] for band in bands])))
