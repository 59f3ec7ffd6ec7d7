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

    Attributes
    ----------
    lean : float64 array, shape (states,)
        Changed in place, and so is the middle.
    middle : float64 array, shape (1,)
        A state, or -1 before anything was clear.
    """

    def __init__(self, states: int) -> None:
        self.lean, self.middle = np.zeros(states), np.array([-1.0])

    @classmethod
    def of(cls, lean: Floats, middle: Floats) -> Compass:
        """The one that these belong to."""
        compass = cls.__new__(cls)
        compass.lean, compass.middle = lean, middle
        return compass

    def heard(self, state: int) -> None:
        """A hop in which a voice was clear."""
        middle = float(self.middle[0])
        self.middle[0] = middle = middle + FOLLOW * (state - middle) if middle >= 0.0 else float(state)
        self.lean[:] = LEAN * np.maximum(np.abs(np.arange(len(self.lean)) - middle) - FREE_STATES, 0.0)
