"""Sounds that have a pitch and that nobody sings: a room after the note, the hum of the mains.

Each tells, hop by hop, what it takes for its own. Both keep to what a singer hardly does: a fall of level as even as a
room's for 120 ms on one pitch; a pitch on a multiple of the mains to 6 cents, quiet, and steadier than a throat.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from audio.units import hz_to_c100

Integers = NDArray[np.int64]

SILENCE_DB10 = -1200


class Dying:
    """The sound of a room after a note: energy falls by as many decibels in every 40 ms (Sabine 1900)."""

    HOPS = 8  # 40 ms
    LEAST_STEP_DB10 = 10  # each 40 ms
    LEAST_DB10 = 50  # in 120 ms: RT60 below 1.4 s
    LARGEST_SHARE = 0.6  # of the three together; a step down to a quiet note is one fall
    DRIFT_C100 = 10_000
    RISE_DB10 = 30  # somebody sings again
    HELD_DB10 = 25  # less than this lost in 160 ms: somebody sings on, quietly
    OTHER_NOTE_C100 = 8_000

    def __init__(self) -> None:
        # level and pitch of each hop, the oldest first; whether it is dying, at which lowest level, at which pitch
        self.past = np.tile(np.array([SILENCE_DB10, 0], dtype=np.int64), (4 * self.HOPS, 1))
        self.now = np.zeros(3, dtype=np.int64)

    @classmethod
    def of(cls, past: Integers, now: Integers) -> Dying:
        """The one that these belong to; both are changed in place."""
        dying = cls.__new__(cls)
        dying.past, dying.now = past, now
        return dying

    def hops(self, levels: list[int], pitches: list[int], voiced: list[bool]) -> NDArray[np.bool_]:
        """Whether each hop is no more than a room: levels in tenths of a dBFS, pitches in c100."""
        out = np.zeros(len(levels), dtype=np.bool_)
        past = self.past.tolist()
        dying, lowest, last_pitch = self.now.tolist()
        for hop, (level, pitch, is_voiced) in enumerate(zip(levels, pitches, voiced, strict=True)):
            if not dying:
                if is_voiced and self._begins(past, level, pitch):
                    dying, lowest, last_pitch = 1, level, pitch
            else:
                lowest = min(lowest, level)
                held = past[0][0] - level < self.HELD_DB10
                again = level >= lowest + self.RISE_DB10
                if held or again or abs(pitch - last_pitch) > self.OTHER_NOTE_C100:
                    dying = 0
            out[hop] = dying
            past.append([level, pitch])
            del past[0]
        self.past[:] = past
        self.now[:] = dying, lowest, last_pitch
        return out

    def _begins(self, past: list[list[int]], level: int, pitch: int) -> bool:
        (first, first_pitch), (second, _), (third, _) = (past[-n * self.HOPS] for n in (3, 2, 1))
        falls = (first - second, second - third, third - level)
        return (
            min(falls) >= self.LEAST_STEP_DB10
            and sum(falls) >= self.LEAST_DB10
            and max(falls) <= self.LARGEST_SHARE * sum(falls)
            and abs(pitch - first_pitch) <= self.DRIFT_C100
        )


class Hum:
    """The hum of the mains, 50 or 60 Hz and what is on top of it, until anything else has a pitch: a soft singer may sing there."""

    LOUDEST_DB10 = -400
    NEAR_C100 = 600
    STEADY_C100 = 300  # from hop to hop
    STEADY_DB10 = 5
    MULTIPLES_C100 = tuple(sorted({hz_to_c100(mains * n) for mains in (50, 60) for n in range(1, 9)}))

    def __init__(self) -> None:
        # whether anything else was voiced, ever; hops of hum on end; level and pitch of the last hop
        self.now = np.array([0, 0, SILENCE_DB10, 0], dtype=np.int64)

    @classmethod
    def of(cls, now: Integers) -> Hum:
        """The one that this belongs to; it is changed in place."""
        hum = cls.__new__(cls)
        hum.now = now
        return hum

    def hops(self, levels: list[int], pitches: list[int], voiced: list[bool]) -> NDArray[np.bool_]:
        """Whether each hop is no more than a hum: levels in tenths of a dBFS, pitches in c100."""
        out = np.zeros(len(levels), dtype=np.bool_)
        sung, run, last_level, last_pitch = self.now.tolist()
        for hop, (level, pitch, is_voiced) in enumerate(zip(levels, pitches, voiced, strict=True)):
            steady = abs(level - last_level) <= self.STEADY_DB10 and abs(pitch - last_pitch) <= self.STEADY_C100
            if not is_voiced:
                run = 0
            elif self._like_mains(level, pitch) and (steady or not run):
                run += 1
            else:
                run, sung = 0, 1
            out[hop] = run > 0 and not sung
            last_level, last_pitch = level, pitch
        self.now[:] = sung, run, last_level, last_pitch
        return out

    def _like_mains(self, level: int, pitch: int) -> bool:
        return level <= self.LOUDEST_DB10 and min(abs(pitch - m) for m in self.MULTIPLES_C100) <= self.NEAR_C100
