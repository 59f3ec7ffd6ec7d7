"""Whether a take was clean, poor or between: five figures, all shown, never one.

Conventions: shares are of what was judged; a breath counts as held. Limits are our own: nine of ten notes right, three of four right ones
in tune, four of five in time, no note pulled, nothing missing over one beat; poor is under six of ten right.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby

from trainer.practice.signs import Sign
from trainer.practice.take import Take

WRONG = frozenset({Sign.PULLED, Sign.OFF, Sign.OCTAVE, Sign.SILENT})
OUT_OF_TUNE = frozenset({Sign.SHARP, Sign.FLAT})
OUT_OF_TIME = frozenset({Sign.LATE, Sign.EARLY, Sign.LEFT_EARLY})

JUDGED_TENTHS, RIGHT_TENTHS, POOR_TENTHS = 9, 9, 6
TUNE_QUARTERS, TIME_FIFTHS = 3, 4
MOST_MISSING_BEATS = 1


@dataclass(frozen=True, slots=True)
class Figures:
    """What a take is called clean by: counts of notes, and the longest silence in beats where notes stand."""

    notes: int
    judged: int
    right: int
    in_tune: int
    on_time: int
    pulled: int
    missing_beats: int

    @property
    def clean(self) -> bool:
        """Whether every figure is good enough."""
        return (
            self.judged > 0
            and self.judged * 10 >= self.notes * JUDGED_TENTHS
            and self.right * 10 >= self.judged * RIGHT_TENTHS
            and self.in_tune * 4 >= self.right * TUNE_QUARTERS
            and self.on_time * 5 >= self.right * TIME_FIFTHS
            and self.pulled == 0
            and self.missing_beats <= MOST_MISSING_BEATS
        )

    @property
    def poor(self) -> bool:
        """Whether too few notes were right to go on."""
        return self.judged > 0 and self.right * 10 < self.judged * POOR_TENTHS


def figures(take: Take) -> Figures:
    """The five figures of one take."""
    judged = [note for note in take.notes if note.expected is not None and note.sign is not Sign.UNSURE]
    right = [note for note in judged if note.sign not in WRONG]
    silent = [len(list(run)) for sign, run in groupby(take.beats, key=lambda beat: beat.sign) if sign is Sign.SILENT]
    return Figures(
        notes=sum(note.expected is not None for note in take.notes),
        judged=len(judged),
        right=len(right),
        in_tune=sum(not OUT_OF_TUNE & set(note.signs) for note in right),
        on_time=sum(not OUT_OF_TIME & set(note.signs) for note in right),
        pulled=sum(note.sign is Sign.PULLED for note in judged),
        missing_beats=max(silent, default=0),
    )


def mark(take: Take) -> str:
    """One of "clean", "poor", "between", "nothing" (was heard) and "unfinished" (the take ended before the music)."""
    if take.status != "heard":
        return "nothing" if take.status == "nothing heard" else "unfinished"
    found = figures(take)
    return "clean" if found.clean else "poor" if found.poor else "between"


def is_clean(take: Take) -> bool:
    """Whether the take was clean."""
    return mark(take) == "clean"
