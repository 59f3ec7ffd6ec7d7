"""Where in the grid this singer sings: a lean of the path against pitches far from it.

Noise that hides a voice's lowest harmonic leaves two pitches that explain it nearly as well, an octave or a twelfth apart, and one of
them is seldom where this singer has sung so far. The middle of what was clear follows slowly; a pitch nearer than FREE_STATES to it
costs nothing, and farther off so little that a clear voice, an octave off or not, is heard where it is.

A prior on the pitch of one singer: the spirit of the speaker-adapted limits of Hirst (2007), "A Praat plugin for Momel and INTSINT" (from
memory); the numbers are our own, chosen on the development seeds of ``tests/bench/pitch``.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

FREE_STATES = 40  # 800 cents: a singer's compass is nearly two octaves wide
LEAN = 0.01  # of strength, a hop and a state
FOLLOW = 0.01  # of the distance, a hop


class Compass:
    """The middle of what one singer sang clearly, and the lean that follows from it.

    Parameters
    ----------
    states : int
        Size of the grid.
    """

    def __init__(self, states: int) -> None:
        self._places = np.arange(states, dtype=np.float64)
        self._middle: float | None = None
        self.lean = np.zeros(states)

    def heard(self, state: int) -> None:
        """A hop in which a voice was clear."""
        self._middle = float(state) if self._middle is None else self._middle + FOLLOW * (state - self._middle)
        self.lean = LEAN * np.maximum(np.abs(self._places - self._middle) - FREE_STATES, 0.0)
