"""The one place where a number changes its unit. Standard library only.

Conventions: *c100* is a pitch in hundredths of a cent above C-1 (MIDI note 0) with A4 at 440 Hz, an integer;
a pitch difference in c100 is sharp when positive. A *frame* is one sample instant at ``RATE_HZ``.

Sources: MIDI note numbers and A4 = 440 Hz as in MIDI Tuning Standard and ISO 16:1975; 1200 cents to an octave (Ellis 1885).
"""

from __future__ import annotations

import math
from fractions import Fraction

RATE_HZ = 24_000
"""The rate at which every line is tracked and judged. 48 kHz halves into it exactly; 12 kHz of band holds eleven harmonics of C6."""

A4_C100 = 690_000
A4_HZ = 440.0
SEMITONE_C100 = 10_000
OCTAVE_C100 = 120_000


def hz_to_c100(f0_hz: float) -> int:
    """Pitch of a frequency in c100. Raises ValueError at or below 0 Hz."""
    return round(A4_C100 + OCTAVE_C100 * math.log2(f0_hz / A4_HZ))


def c100_to_hz(pitch_c100: float) -> float:
    """Frequency in hertz of a pitch in c100."""
    return A4_HZ * math.exp2((pitch_c100 - A4_C100) / OCTAVE_C100)


def whole_cents(difference_c100: int) -> int:
    """Hundredths of a cent as whole cents, halves away from zero, so that 50 and -50 mirror each other."""
    sign = -1 if difference_c100 < 0 else 1
    return sign * ((abs(difference_c100) + 50) // 100)


def seconds_to_frames(seconds: Fraction | float | int) -> int:
    """Nearest frame at ``RATE_HZ``."""
    return round(Fraction(seconds) * RATE_HZ)


def frames_to_seconds(frames: int) -> float:
    """Seconds of a frame count at ``RATE_HZ``."""
    return frames / RATE_HZ


def frames_to_ms(frames: int) -> int:
    """Whole milliseconds of a frame count at ``RATE_HZ``, halves away from zero."""
    sign = -1 if frames < 0 else 1
    return sign * ((abs(frames) * 2000 + RATE_HZ) // (2 * RATE_HZ))


def db_to_gain(level_db: float) -> float:
    """Amplitude factor of a level in decibels."""
    return float(10.0 ** (level_db / 20.0))
