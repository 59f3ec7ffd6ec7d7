"""What a take is judged by. Every field is printed with every report."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from audio.errors import SettingError
from audio.units import A4_HZ, OCTAVE_C100

TOLERANCES = {"fine": 15, "usual": 25, "learner": 35}
"""Cents. 25 is about what listeners allow sung tunes (Larrouy-Maestri 2018; Vurma & Ross 2006); 15 and 35 are our own."""

ON_TIME_MS = {"sung": 80, "keyed": 40}
"""Singing onsets cannot be told finer than about 50 ms (D'Amario et al. 2018); 80 and 40 are our own."""

A4_RANGE_HZ = (392.0, 466.0)
FASTEST_SINKING_CENTS = 60
"""A minute; choirs sink by some 10 to 15 (Mauch, Frieler and Dixon 2014, of solo singers)."""

AGAINST = ("equal", "pure")
OCTAVES = ("strict", "steady", "free")
TIMES = ("fixed", "free")


@dataclass(frozen=True, slots=True)
class Settings:
    """How one take is judged.

    Parameters
    ----------
    a4_hz : float
        392 to 466.
    against : str
        "equal" or "pure": what the voices sound and the singer is measured by.
    tolerance_cents : int
        Half-width of *held*.
    octave : str
        "strict", "steady" or "free".
    tempo_qpm : Fraction or None
        Quarters a minute at the start; None is the score's own.
    starts_at_s : Fraction
        The moment in the recording at which bar 1 beat 1 falls.
    time : str
        "fixed" or "free".
    alone : bool
        Nothing sounded beside the singer.
    sinking_cents : int
        So many cents a minute the voices sink, and what the singer is measured by with them; 0 is steady.
    delay_known : bool
        False in a live take whose round trip is only reported or assumed: timing is then not judged.
    """

    a4_hz: float = A4_HZ
    against: str = "equal"
    tolerance_cents: int = TOLERANCES["usual"]
    octave: str = "steady"
    tempo_qpm: Fraction | None = None
    starts_at_s: Fraction = Fraction(0)
    time: str = "fixed"
    alone: bool = False
    delay_known: bool = True
    sinking_cents: int = 0

    def __post_init__(self) -> None:
        """Refuse what nobody can sing to. Raises SettingError."""
        if not A4_RANGE_HZ[0] <= self.a4_hz <= A4_RANGE_HZ[1]:
            raise SettingError(
                f"A4 at {self.a4_hz:g} Hz is outside 392 to 466",
                "--a",
                "give the pitch of A4 in hertz, such as --a 442",
            )
        if not 1 <= self.tolerance_cents <= 70:
            raise SettingError(
                f"a tolerance of {self.tolerance_cents} cents is outside 1 to 70",
                "--tolerance",
                "use fine (15), usual (25), learner (35) or whole cents",
            )
        if not 0 <= self.sinking_cents <= FASTEST_SINKING_CENTS:
            raise SettingError(
                f"voices that sink by {self.sinking_cents} cents a minute are outside 0 to {FASTEST_SINKING_CENTS}",
                "--sinking",
                "give whole cents a minute, such as --sinking 20",
            )
        if self.tempo_qpm is not None and not 10 <= self.tempo_qpm <= 400:
            raise SettingError(
                f"a tempo of {float(self.tempo_qpm):g} is outside 10 to 400 quarters a minute",
                "--tempo",
                "give quarters a minute, such as --tempo 60",
            )
        for option, value, allowed in (
            ("--against", self.against, AGAINST),
            ("--octave", self.octave, OCTAVES),
            ("--time", self.time, TIMES),
        ):
            if value not in allowed:
                raise SettingError(f"{value!r} is not one of {', '.join(allowed)}", option, "choose one of them")

    @property
    def a4_offset_c100(self) -> int:
        """How far this A4 lies above 440 Hz, hundredths of a cent."""
        return round(OCTAVE_C100 * math.log2(self.a4_hz / A4_HZ))
