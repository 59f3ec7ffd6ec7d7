"""What was heard, as integers: the boundary at which the promise of equal bytes begins.

Everything after this point (the judge, the report, a take judged again) works on these records alone, so a live take,
a recording, a MIDI file and a test are the same code. Times are frames at ``audio.units.RATE_HZ`` on the take's own axis.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

NO_ECHO_DB10 = -1200
"""Nothing of our own sound was taken away, or nothing is left of it."""


@dataclass(frozen=True, slots=True)
class PitchFrame:
    """One estimate of one line's pitch.

    Parameters
    ----------
    line : int
        Which sung line, from 0. One microphone to a line.
    centre_frame : int
        Centre of the sound that the estimate used.
    f0_c100 : int
        Best guess of the pitch in hundredths of a cent above C-1 at A4 = 440; given even where ``voiced`` is false.
    uncertainty_cents : int
        Half-width of a 95 % interval of this single frame.
    voiced : bool
        Whether the tracker takes this frame as sung.
    confidence : int
        0 to 1000: how much of the sound the estimate explains as one harmonic tone.
    level_db10 : int
        Level of the frame in tenths of a dBFS; -1200 for digital silence.
    residual_db10 : int
        Level of what the harmonic tone leaves unexplained, tenths of a dBFS.
    echo_db10 : int
        Level that is left of our own loudspeaker in this very tone, tenths of a dBFS; -1200 where none was taken away.
    """

    line: int
    centre_frame: int
    f0_c100: int
    uncertainty_cents: int
    voiced: bool
    confidence: int
    level_db10: int
    residual_db10: int = -1200
    echo_db10: int = NO_ECHO_DB10


OPEN_KEY = 1 << 40
"""``off_frame`` of a key that is still down; it is told once more, from the same ``on_frame``, when it is let go."""


@dataclass(frozen=True, slots=True)
class KeyNote:
    """One key pressed and released. ``off_frame`` is after ``on_frame``; notes of one line may overlap (legato)."""

    line: int
    on_frame: int
    off_frame: int
    midi: int
    velocity: int = 64


@dataclass(frozen=True, slots=True)
class Anchor:
    """From ``frame`` on, music time runs from ``quarters`` at ``quarters_per_minute``; 0 means that it waits."""

    frame: int
    quarters: Fraction
    quarters_per_minute: Fraction


UNTIMED = "delay not confirmed"
"""A Gap for this reason has its sound: pitch is judged in it, late and early are not."""


@dataclass(frozen=True, slots=True)
class Gap:
    """Sound that was lost, or that nobody may judge, from ``from_frame`` up to ``to_frame``; see ``UNTIMED`` for the exception."""

    from_frame: int
    to_frame: int
    why: str


Heard = PitchFrame | KeyNote | Anchor | Gap
