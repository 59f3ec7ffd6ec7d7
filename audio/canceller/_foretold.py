"""How loud our own leavings are expected to be, bin by bin, hop after hop; asked of any moment by its frame.

What is told of a moment is what was known when the sound to ``AHEAD_FRAMES`` after it had been heard, however much more has
been heard since: so a take is the same in blocks of any size.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audio.canceller._spectra import BIN_HZ, BINS, HOP_FRAMES, WINDOW_FRAMES

AHEAD_FRAMES = 672
"""After an estimate's centre, for its candidates: nobody asks sooner."""

KEPT_HOPS = 128
"""2.7 seconds: longer than anybody waits, who takes sound in pieces."""

UNDER, MOST = 8.0, 0.125
"""So many times what is expected in the mean is no evidence of a singer, since tones beat and rooms are not known to the decibel; but
never more than this share of what sounded, where the room is hardly known. On the development seeds of ``tests/bench/pitch/bleed.py``."""

HIGHEST_HARMONIC = 12
LINE_BINS = 2
"""To each side of a tone, the width of the window's line."""

_BACK_FRAMES = WINDOW_FRAMES // 2 - AHEAD_FRAMES
_AROUND = np.arange(-LINE_BINS, LINE_BINS + 1)


@dataclass(frozen=True, slots=True, eq=False)
class _Row:
    centre_frame: int
    left: NDArray[np.float32]
    sounded: NDArray[np.float32]


class Foretold:
    """Rows of power in each bin, each of one spectrum."""

    def __init__(self) -> None:
        self._rows: deque[_Row] = deque(maxlen=KEPT_HOPS)

    def add(self, centre_frame: int, left: NDArray[np.float32], sounded: NDArray[np.float32]) -> None:
        """What is expected to be left around *centre_frame*, and what sounded there, shape (BINS,) each."""
        self._rows.append(_Row(centre_frame, left, sounded))

    def _at(self, centre_frame: int) -> _Row | None:
        latest = centre_frame - _BACK_FRAMES
        for row in reversed(self._rows):
            if row.centre_frame <= latest:
                return row if row.centre_frame > latest - HOP_FRAMES else None
        return None

    def under(self, centre_frames: NDArray[np.int64]) -> NDArray[np.float64] | None:
        """What a singer has to stand out of, shape (frames, BINS); None where nothing was taken away at any of these frames.

        A bin to each side as well: who asks may look through a shorter window, whose lines are wider.
        """
        found = [self._at(centre) for centre in centre_frames.tolist()]
        if all(row is None for row in found):
            return None
        power = np.zeros((len(found), BINS))
        for hop, row in enumerate(found):
            if row is not None:
                power[hop] = np.minimum(UNDER * row.left, MOST * row.sounded)
        wide = power.copy()
        np.maximum(wide[:, 1:], power[:, :-1], out=wide[:, 1:])
        np.maximum(wide[:, :-1], power[:, 1:], out=wide[:, :-1])
        return wide

    def in_tone(self, centre_frame: int, f0_hz: float) -> float | None:
        """Power expected to be left in the harmonics of *f0_hz* around *centre_frame*; None where nothing was taken away."""
        row = self._at(centre_frame)
        if row is None:
            return None
        count = max(2, min(HIGHEST_HARMONIC, int((BINS - 1 - LINE_BINS) * BIN_HZ / f0_hz)))
        middle = np.minimum(np.rint(np.arange(1, count + 1) * f0_hz / BIN_HZ).astype(np.int64), BINS - 1 - LINE_BINS)
        return float(row.left[(middle[:, None] + _AROUND).ravel()].sum())
