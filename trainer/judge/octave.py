"""Which octave the whole take is sung in.

One steady shift of two octaves down to two up is the singer's own register and is told once; a lone displaced note is a slip.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from trainer.judge.reading import RIGHT_C100
from trainer.judge.span import OCTAVE

FARTHEST = 2


def vote(deviation_c100: int) -> int | None:
    """The octave in which a note is right, None when it is right in none."""
    octave = (deviation_c100 + OCTAVE // 2) // OCTAVE
    if abs(deviation_c100 - octave * OCTAVE) > RIGHT_C100 or abs(octave) > FARTHEST:
        return None
    return octave


def steady_shift(deviations_c100: Iterable[int]) -> int:
    """The octave with most votes, the nearest to what is written among equals; by the middle when no note votes."""
    deviations = sorted(deviations_c100)
    votes = Counter(octave for octave in map(vote, deviations) if octave is not None)
    if votes:
        return min(votes, key=lambda octave: (-votes[octave], abs(octave), octave))
    if not deviations:
        return 0
    middle = deviations[(len(deviations) - 1) // 2]
    return max(-FARTHEST, min(FARTHEST, (middle + OCTAVE // 2) // OCTAVE))
