"""What sounds: voices, a tuning tone, a click. Adding one is adding a file here that registers itself in ``INSTRUMENTS``.

Every instrument keeps within -1 and 1, begins and ends at silence, and stands at ``LEVEL_DBFS`` where it holds steady, so that gains
mean the same for all.
"""

from __future__ import annotations

from typing import Protocol

from audio.block import Samples
from audio.phrase import Phrase
from audio.registry import Registry

LEVEL_DBFS = -15.0
"""Effective level of a steady tone at 0 dB gain; leaves the peaks of a low voice below full scale."""


class Instrument(Protocol):
    """One timbre."""

    def tone(self, f0_hz: float, length_frames: int, rate_hz: int, seed: int) -> Samples:
        """One whole note, float32, shape (length_frames,)."""
        ...

    def phrase(self, phrase: Phrase, from_frame: int, to_frame: int, seed: int) -> Samples:
        """A part of a phrase, float32, shape (to_frame - from_frame,); the parts joined are the whole."""
        ...


INSTRUMENTS: Registry[Instrument] = Registry("instruments")


def instruments() -> Registry[Instrument]:
    """The registry with every instrument in it."""
    return INSTRUMENTS.load("audio.instruments")
