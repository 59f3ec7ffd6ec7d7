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

FORETOLD, OF_LOUDEST = 1e-9, 0.03
"""Mean power of a block, -90 dBFS, from which it counts, if it is within 15 dB of the loudest as well. All that count do so alike: a soft
click tells more of a delay than the loud chord before it."""

FORGOTTEN = 0.9995
ENOUGH_BLOCKS = 40
"""Since the first was foretold: by then what is late to arrive has arrived."""

ABSENT = 0.1
"""Less than a tenth of the power that was foretold, and unlike it: nothing of it is there. Whoever sings only adds power."""

LIKE, UNLIKE = 0.85, 0.5
"""A room moved by -12 dB is like to 0.94; a delay wrong by a millisecond to hardly anything."""

TURNED_DB = 1.0
FAINTEST = 0.05
"""26 dB softer than at soundcheck: what headphones let out. That is the judge's to tell from a singer."""

BLOCK_FRAMES = 256


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
        self._heard = self._gain = self._count = self._loudest = 0.0
        self._powers = (0.0, 0.0)
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
        self._loudest = max(FORGOTTEN * self._loudest, foretold)
        loud = foretold >= max(FORETOLD * len(echo), OF_LOUDEST * self._loudest)
        self._blocks += loud or self._blocks > 0
        self._heard, self._gain, self._count = KEPT * self._heard, KEPT * self._gain, KEPT * self._count
        self._powers = (KEPT * self._powers[0], KEPT * self._powers[1])
        if not loud:
            return 1.0
        self._powers = (self._powers[0] + float(heard @ heard), self._powers[1] + foretold)
        self._heard += float(heard @ heard) / foretold
        self._gain += float(heard @ echo) / foretold
        self._count += 1.0
        if self._blocks < ENOUGH_BLOCKS:
            return 1.0
        gain = self._gain / self._count
        likeness = gain * self._gain / self._heard if self._heard > 0 else 0.0
        self.unlike = likeness < LIKE
        if likeness < UNLIKE and self._powers[0] < ABSENT * self._powers[1]:
            self.absent = True
        if not nobody or likeness < LIKE or gain <= 0:
            return 1.0
        self.absent = False
        if abs(20 * np.log10(gain)) < TURNED_DB:
            return 1.0
        self.forget()
        return gain


def alike(heard: NDArray[np.float64], foretold: NDArray[np.float64]) -> tuple[float, float]:
    """How much louder our own sound is in *heard* than foretold, and how like the two are, 0 to 1, by the same measure."""
    count = len(foretold) // BLOCK_FRAMES * BLOCK_FRAMES
    heard, foretold = heard[:count].reshape(-1, BLOCK_FRAMES), foretold[:count].reshape(-1, BLOCK_FRAMES)
    power = np.square(foretold).sum(axis=1)
    loud = (power >= FORETOLD * BLOCK_FRAMES) & (power >= OF_LOUDEST * power.max(initial=0.0))
    if not loud.any():
        return 0.0, 0.0
    heard_power = float((np.square(heard).sum(axis=1)[loud] / power[loud]).mean())
    gain = float(((heard * foretold).sum(axis=1)[loud] / power[loud]).mean())
    return gain, gain * abs(gain) / heard_power if heard_power > 0 else 0.0


def share_explained(heard: NDArray[np.float64], foretold: NDArray[np.float64]) -> float:
    """Share of the power of *heard* that what was foretold explains, whoever sings besides; negative where it is upside down."""
    powers, both = float(foretold @ foretold) * float(heard @ heard), float(heard @ foretold)
    return both * abs(both) / powers if powers > 0 else 0.0
