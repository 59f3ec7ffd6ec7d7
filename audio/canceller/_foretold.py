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

HIGHEST_HARMONIC = 12
LINE_BINS = 2
"""To each side of a tone, the width of the window's line."""

_BACK_FRAMES = WINDOW_FRAMES // 2 - AHEAD_FRAMES
_AROUND = np.arange(-LINE_BINS, LINE_BINS + 1)


@dataclass(frozen=True, slots=True, eq=False)
class Expected:
    """What is expected of our own leavings around one frame.

    Parameters
    ----------
    power : float32 array, shape (BINS,)
        Of them, in the mean.
    under : float32 array, shape (BINS,)
        What no pitch is to be made of.
    """

    power: NDArray[np.float32]
    under: NDArray[np.float32]


class Foretold:
    """Rows of power in each bin, each of one spectrum."""

    def __init__(self) -> None:
        self._rows: deque[tuple[int, Expected]] = deque(maxlen=KEPT_HOPS)

    def add(self, centre_frame: int, expected: Expected) -> None:
        """One more, later than those before."""
        self._rows.append((centre_frame, expected))

    def at(self, centre_frame: int) -> Expected | None:
        """What was expected there; None where nothing was taken away."""
        latest = centre_frame - _BACK_FRAMES
        for row_frame, expected in reversed(self._rows):
            if row_frame <= latest:
                return expected if row_frame > latest - HOP_FRAMES else None
        return None

    def under(self, centre_frames: NDArray[np.int64]) -> NDArray[np.float64] | None:
        """What a singer has to stand out of, shape (frames, BINS); None where nothing was taken away at any of these frames.

        A bin to each side as well: who asks may look through a shorter window, whose lines are wider.
        """
        found = [self.at(centre) for centre in centre_frames.tolist()]
        if all(row is None for row in found):
            return None
        power = np.zeros((len(found), BINS))
        for hop, row in enumerate(found):
            if row is not None:
                power[hop] = row.under
        wide = power.copy()
        np.maximum(wide[:, 1:], power[:, :-1], out=wide[:, 1:])
        np.maximum(wide[:, :-1], power[:, 1:], out=wide[:, :-1])
        return wide


def in_tone(power: NDArray[np.float32], f0_hz: float) -> float:
    """Power in the harmonics of *f0_hz*."""
    count = max(2, min(HIGHEST_HARMONIC, int((BINS - 1 - LINE_BINS) * BIN_HZ / f0_hz)))
    middle = np.minimum(np.rint(np.arange(1, count + 1) * f0_hz / BIN_HZ).astype(np.int64), BINS - 1 - LINE_BINS)
    return float(power[(middle[:, None] + _AROUND).ravel()].sum())
