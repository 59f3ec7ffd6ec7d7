"""Is our own sound heard at all, and as loud as it was foretold?

A room is learnt once and used for weeks. In between somebody puts on headphones at the same device, or turns the loudspeaker down, and
a filter that goes on as it was would then put our voices into the singer's microphone instead of taking them out. What is heard is laid
beside what was foretold, weighted by how loud that was: less power than foretold and no likeness means that nothing of ours is heard;
likeness at another loudness means that somebody has turned a knob. Likeness is the coherence of the two over half a second.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

KEPT = 0.98
"""Share of the sums that a block of 10.7 ms keeps: half a second."""

FORETOLD = 1e-9
"""Mean power of a block, -90 dBFS, from which it counts as foretold."""

ENOUGH_BLOCKS = 6
ABSENT = 0.1
"""Less than a tenth of the power that was foretold, and unlike it: nothing of it is there. Whoever sings only adds power."""

LIKE, UNLIKE = 0.8, 0.5
TURNED_DB = 1.0
FAINTEST = 0.05
"""26 dB softer than at soundcheck: what headphones let out. That is the judge's to tell from a singer."""


class Presence:
    """Hears every block beside what was foretold of it."""

    def __init__(self) -> None:
        self.absent = False
        self.forget()

    def forget(self) -> None:
        """Nothing is known of the last blocks."""
        self._heard = self._foretold = self._both = 0.0
        self._blocks = 0

    def hear(self, heard: NDArray[np.float32], echo: NDArray[np.float32], *, nobody: bool) -> float:
        """One block more, shape (n,) each.

        Parameters
        ----------
        nobody : bool
            Whether nobody is asked to sing: only then loudness is told.

        Returns
        -------
        float
            How much louder our own sound is than foretold; 1 where it is as foretold, not heard, or cannot be told.
        """
        foretold = float(echo @ echo)
        if foretold < FORETOLD * len(echo):
            return 1.0
        self._heard = KEPT * self._heard + float(heard @ heard)
        self._foretold = KEPT * self._foretold + foretold
        self._both = KEPT * self._both + float(heard @ echo)
        self._blocks += 1
        if self._blocks < ENOUGH_BLOCKS:
            return 1.0
        gain = self._both / self._foretold
        likeness = gain * self._both / self._heard if self._heard > 0 else 0.0
        if likeness < UNLIKE and self._heard < ABSENT * self._foretold:
            self.absent = True
        if not nobody or likeness < LIKE or gain <= 0:
            return 1.0
        self.absent = False
        if abs(20 * np.log10(gain)) < TURNED_DB:
            return 1.0
        self.forget()
        return gain


def loudness(heard: NDArray[np.float64], foretold: NDArray[np.float64]) -> float:
    """How much louder our own sound is in *heard* than foretold, by least squares; whoever sings besides hardly counts."""
    power = float(foretold @ foretold)
    return float(heard @ foretold) / power if power > 0 else 0.0
