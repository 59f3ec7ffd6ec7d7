"""Twin of ``audio.resample._taken``."""

from __future__ import annotations

from typing import Any

SIGNATURE = "int64(Array(float32, 1, 'A', readonly=True), float64[::1])"
HELPERS = ()


def taken(sound: Any, out: Any) -> int:
    """See the twin."""
    wrong = 0
    for frame in range(len(out)):
        value = sound[frame]
        if value - value == 0.0:  # neither infinite nor no number
            out[frame] = value
        else:
            out[frame] = 0.0
            wrong += 1
    return wrong
