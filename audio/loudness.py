"""How loud a whole sound is to people, by ITU-R BS.1770-4 as pyloudnorm measures it (MIT), in LUFS.

Gated and K-weighted, so that silence and a count-in do not make a quiet piece of a loud one.
"""

from __future__ import annotations

import numpy as np

from audio.block import Samples

SHORTEST_SECONDS = 0.4
"""One block of the measure; a shorter sound is measured with silence after it."""

BOTH_EARS_DB = 10.0 * float(np.log10(2.0))
"""One signal in both channels is so much louder than in one (the standard adds the channels' powers)."""


def loudness_lufs(samples: Samples, rate_hz: int) -> float:
    """Loudness of *samples*, shape (n,) for one signal that goes to both ears, or (n, 2); minus infinity for silence."""
    from pyloudnorm import Meter  # brings scipy, which nothing else on the way to a hearing needs

    shortest = int(np.ceil(SHORTEST_SECONDS * rate_hz)) + 1
    if len(samples) < shortest:
        room = [(0, shortest - len(samples)), *[(0, 0)] * (samples.ndim - 1)]
        samples = np.pad(samples, room)
    if not np.any(samples):
        return float("-inf")
    found = float(Meter(rate_hz).integrated_loudness(samples))
    return found + BOTH_EARS_DB if samples.ndim == 1 else found
