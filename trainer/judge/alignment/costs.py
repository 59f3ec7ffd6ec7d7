"""What it costs to say that a stretch of singing was a certain note. Integers only, so that every machine finds the same path.

A point is a thousandth of a skipped note's third. All figures are our own, chosen on simulated singers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from audio.units import OCTAVE_C100, RATE_HZ
from trainer.judge.pitchline import PitchLine

STEP_MS = 20
RIGHT_WITHIN_C100 = 4_000
WRONG_FROM_C100 = 15_000
WRONG = 4_000
"""Points a second for a pitch of WRONG_FROM_C100 or further off; down to RIGHT_WITHIN_C100 in a straight line to none."""
WRONG_MOST = 5_000
"""A wrong note is one slip, however long it is held."""
OTHER_OCTAVE = 1_500
UNVOICED = 300
SUNG_IN_REST = 3_000
SUNG_OUTSIDE = 2_500

LENGTH = 6
LENGTH_MOST = 6_000
NO_SOUND_CUE = 800
DIP_CUE = 200


class Sums:
    """Running sums over the line, one row a pitch: the cost of any stretch is the difference of two.

    Parameters
    ----------
    line : PitchLine
    pitches : iterable of int
        References of the score's notes after the take's octave shift, hundredths of a cent.
    """

    def __init__(self, line: PitchLine, pitches: Sequence[int]) -> None:
        step = max(1, STEP_MS * RATE_HZ // 1000 // line.hop_frames)
        self._first = line.centres[0]
        self._step_frames = step * line.hop_frames
        heard = [line.pitches[k] if line.voiced[k] else None for k in range(0, len(line), step)]
        self._outside = self._summed([0 if p is None else SUNG_OUTSIDE for p in heard])
        self._rest = self._summed([0 if p is None else SUNG_IN_REST for p in heard])
        self._notes = {
            asked: self._summed([UNVOICED if p is None else off(p - asked) for p in heard]) for asked in set(pitches)
        }

    def _summed(self, rates: list[int]) -> list[int]:
        total, sums = 0, [0]
        for rate in rates:
            total += rate * self._step_frames
            sums.append(total)
        return sums

    def _at(self, sums: list[int], frames: Sequence[int]) -> list[int]:
        last = len(sums) - 1
        places = [min(max((frame - self._first) // self._step_frames, 0), last) for frame in frames]
        return [sums[place] // RATE_HZ for place in places]

    def note(self, asked: int | None, frames: Sequence[int]) -> list[int]:
        """Points from the start up to each frame for saying that all of it is the note *asked*, or a rest (None)."""
        return self._at(self._rest if asked is None else self._notes[asked], frames)

    def outside(self, frames: Sequence[int]) -> list[int]:
        """Points from the start up to each frame for saying that all of it does not belong to the piece."""
        return self._at(self._outside, frames)


def off(difference_c100: int) -> int:
    """Points a second for a pitch that far from the one asked for."""
    folded = difference_c100 % OCTAVE_C100
    folded = min(folded, OCTAVE_C100 - folded)
    other = OTHER_OCTAVE if abs(difference_c100) > OCTAVE_C100 // 2 else 0
    over = min(max(folded - RIGHT_WITHIN_C100, 0), WRONG_FROM_C100 - RIGHT_WITHIN_C100)
    return other + WRONG * over // (WRONG_FROM_C100 - RIGHT_WITHIN_C100)


def length(frames: int, expected: int) -> int:
    """Points for a note that lasts *frames* where the singer's tempo would give *expected*."""
    # written out, because it is asked some hundred thousand times a take
    longer, shorter = (frames, expected) if frames > expected else (expected, frames)
    excess = 1000 * longer // (shorter if shorter > 1 else 1) - 1000
    points = LENGTH * excess * excess // 1000
    return points if points < LENGTH_MOST else LENGTH_MOST


@dataclass(frozen=True, slots=True)
class Cue:
    """A moment at which a note may begin, and what it costs to believe it."""

    frame: int
    points: int
