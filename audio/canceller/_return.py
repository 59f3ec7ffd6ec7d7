"""Back to the room as it was learnt, where what was made of it since is worse.

A singer in unison with our own voice from the first second on can look like a room that has changed, and is then learnt as one; what is
left of that shows as soon as she stops. So the room of soundcheck is kept, and where hardly anything but our own sound is heard the two
are laid side by side: two paths, one that adapts and one that does not (Ochiai, Araseki & Ogihara 1977, IEEE Trans. COM 25, from memory).
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from audio.canceller._filter import PartitionedFilter

Sound = NDArray[np.float32]

NEARLY_ALONE = 0.5
"""Of what was foretold: where more is heard than that besides, the two leave nearly the same."""

KEPT = 0.98
"""Share of the balance that a block of 10.7 ms keeps: half a second, so that a room that has changed is not taken back for one tone."""

FAR_LESS = -3.5
"""Doublings, at most one a block: four blocks in a row in which the room as it was learnt leaves half as much. Our own, by simulation."""

NOTHING = 1e-12


class Return:
    """Hears what the filter left, block by block."""

    def __init__(self) -> None:
        self._balance = 0.0

    def better(self, filter_: PartitionedFilter, heard: Sound, echo: Sound) -> bool:
        """Whether the room as it was learnt leaves far less than the filter of now, which foretold *echo*."""
        error = heard - echo
        left = float(error @ error) + NOTHING
        if left > NEARLY_ALONE * float(echo @ echo):
            return False
        other = heard - filter_.echo_as_learnt()
        doublings = math.log2((float(other @ other) + NOTHING) / left)
        self._balance = KEPT * self._balance + max(-1.0, min(1.0, doublings))
        if self._balance > FAR_LESS:
            return False
        self._balance = 0.0
        return True
