"""Sounds that have a pitch and that nobody sings: a room after the note, the hum of the mains.

Each tells, hop by hop, what it takes for its own. Both keep to what a singer hardly does: a fall of level as even as a
room's for 120 ms on one pitch; a pitch on a multiple of the mains to 6 cents, quiet, and steadier than a throat.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from audio.units import hz_to_c100

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
        self._past = [(SILENCE_DB10, 0)] * (4 * self.HOPS)  # level and pitch
        self._lowest: int | None = None  # while dying
        self._pitch = 0

    def hops(self, levels: list[int], pitches: list[int], voiced: list[bool]) -> NDArray[np.bool_]:
        """Whether each hop is no more than a room: levels in tenths of a dBFS, pitches in c100."""
        out = np.zeros(len(levels), dtype=np.bool_)
        for hop, (level, pitch, is_voiced) in enumerate(zip(levels, pitches, voiced, strict=True)):
            if self._lowest is None:
                if is_voiced and self._begins(level, pitch):
                    self._lowest, self._pitch = level, pitch
            else:
                self._lowest = min(self._lowest, level)
                held = self._past[0][0] - level < self.HELD_DB10
                again = level >= self._lowest + self.RISE_DB10
                if held or again or abs(pitch - self._pitch) > self.OTHER_NOTE_C100:
                    self._lowest = None
            out[hop] = self._lowest is not None
            self._past.append((level, pitch))
            del self._past[0]
        return out

    def _begins(self, level: int, pitch: int) -> bool:
        (first, first_pitch), (second, _), (third, _) = (self._past[-n * self.HOPS] for n in (3, 2, 1))
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
        self._sung = False  # anything else voiced, ever
        self._run = 0
        self._last = (SILENCE_DB10, 0)

    def hops(self, levels: list[int], pitches: list[int], voiced: list[bool]) -> NDArray[np.bool_]:
        """Whether each hop is no more than a hum: levels in tenths of a dBFS, pitches in c100."""
        out = np.zeros(len(levels), dtype=np.bool_)
        for hop, (level, pitch, is_voiced) in enumerate(zip(levels, pitches, voiced, strict=True)):
            if not is_voiced:
                self._run = 0
            elif self._like_mains(level, pitch):
                self._run += 1
            else:
                self._run, self._sung = 0, True
            out[hop] = self._run > 0 and not self._sung
            self._last = (level, pitch)
        return out

    def _like_mains(self, level: int, pitch: int) -> bool:
        if level > self.LOUDEST_DB10 or min(abs(pitch - m) for m in self.MULTIPLES_C100) > self.NEAR_C100:
            return False
        if not self._run:
            return True
        return abs(level - self._last[0]) <= self.STEADY_DB10 and abs(pitch - self._last[1]) <= self.STEADY_C100
