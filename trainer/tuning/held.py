"""How each chord was held: where its note lay, and whether it stayed there, sank or rose. Figures are the judge's, beat by beat."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from statistics import median

from trainer.practice.signs import COUNTED_AS_HELD, ORDER, Sign
from trainer.practice.take import BeatVerdict, Take
from trainer.tuning.chords import Chord

STEADY_CENTS = 10
"""Within so many from the first beat to the last it is steady: about the smallest step heard in melodies (Hill and Summers 2007)."""

IN_TUNE = (*COUNTED_AS_HELD, Sign.SHARP, Sign.FLAT, Sign.LATE, Sign.EARLY, Sign.LEFT_EARLY)


@dataclass(frozen=True, slots=True)
class HeldChord:
    """One chord of a take.

    Parameters
    ----------
    chord : Chord
    sign : Sign
        Of a beat on another note where there is one; else of most beats with a figure, or of most where none has one.
    cents : int or None
        The middle of its beats against what sounded, None where nothing could be measured.
    moved_cents : int or None
        From the first beat to the last along the middle slope (Theil 1950); None for fewer than three beats with a figure.
    sung, pulled_to : str or None
        Of a beat that was another note.
    """

    chord: Chord
    sign: Sign
    cents: int | None
    moved_cents: int | None
    sung: str | None = None
    pulled_to: str | None = None

    @property
    def way(self) -> str:
        """One of "steady", "sank", "rose", or "" where that is not known."""
        if self.moved_cents is None:
            return ""
        return "steady" if abs(self.moved_cents) <= STEADY_CENTS else "sank" if self.moved_cents < 0 else "rose"


def held_chords(take: Take, chords: Sequence[Chord]) -> tuple[HeldChord, ...]:
    """Every chord in order."""
    return tuple(_held(chord, [beat for beat in take.beats if beat.bar == chord.bar]) for chord in chords)


def _held(chord: Chord, beats: Sequence[BeatVerdict]) -> HeldChord:
    wrong = next((beat for beat in beats if beat.sign in (Sign.PULLED, Sign.OFF, Sign.OCTAVE)), None)
    figures = [beat.cents for beat in beats if beat.cents is not None and beat.sign in IN_TUNE]
    cents = round(median(figures)) if figures else None
    slopes = [(b - a) / (j - i) for (i, a), (j, b) in combinations(enumerate(figures), 2)]
    moved = round(median(slopes) * (len(figures) - 1)) if len(figures) > 2 else None
    if wrong is not None:
        return HeldChord(chord, wrong.sign, cents, moved, wrong.sung, wrong.pulled_to)
    counted = Counter(beat.sign for beat in beats if beat.cents is not None or not figures)
    most = max(counted.values(), default=0)
    return HeldChord(chord, next((sign for sign in ORDER if most and counted[sign] == most), Sign.UNSURE), cents, moved)
