"""Whether our own sound is heard at all, and as loud as it was foretold.

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

ENOUGH_BLOCKS = 40
"""Since the first was foretold: by then what is late to arrive has arrived."""

ABSENT = 0.1
"""Less than a tenth of the power that was foretold, and unlike it: nothing of it is there. Whoever sings only adds power."""

LIKE, UNLIKE = 0.7, 0.5
"""A room moved by -12 dB is like to 0.94; a delay wrong by a millisecond to hardly anything."""

TURNED_DB = 1.0
FAINTEST = 0.05
"""26 dB softer than at soundcheck: what headphones let out. That is the judge's to tell from a singer."""


class Presence:
    """Hears every block beside what was foretold of it.

    Attributes
    ----------
    absent : bool
        Nothing of ours is heard.
    unlike : bool
        What is heard is not what was foretold; where somebody sings that says nothing.
    """

    def __init__(self) -> None:
        self.absent = False
        self.forget()

    def forget(self) -> None:
        """Nothing is known of the last blocks."""
        self._heard = self._foretold = self._both = 0.0
        self._blocks = 0
        self.unlike = False

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
        loud = foretold >= FORETOLD * len(echo)
        self._blocks += loud or self._blocks > 0
        self._heard, self._foretold, self._both = KEPT * self._heard, KEPT * self._foretold, KEPT * self._both
        if not loud:
            return 1.0
        self._heard += float(heard @ heard)
        self._foretold += foretold
        self._both += float(heard @ echo)
        if self._blocks < ENOUGH_BLOCKS:
            return 1.0
        gain = self._both / self._foretold
        likeness = gain * self._both / self._heard if self._heard > 0 else 0.0
        self.unlike = likeness < UNLIKE
        if self.unlike and self._heard < ABSENT * self._foretold:
            self.absent = True
        if not nobody or likeness < LIKE or gain <= 0:
            return 1.0
        self.absent = False
        if abs(20 * np.log10(gain)) < TURNED_DB:
            return 1.0
        self.forget()
        return gain


def alike(heard: NDArray[np.float64], foretold: NDArray[np.float64]) -> tuple[float, float]:
    """How much louder our own sound is in *heard* than foretold, by least squares, and how like the two are, 0 to 1."""
    powers, both = float(foretold @ foretold) * float(heard @ heard), float(heard @ foretold)
    return (both / float(foretold @ foretold), both * abs(both) / powers) if powers > 0 else (0.0, 0.0)
