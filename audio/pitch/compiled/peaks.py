"""Twin of ``_salience._peaks``."""

from __future__ import annotations

from typing import Any

from audio.pitch._salience import GRID_CENTS

SIGNATURE = "void(float64[:,::1], int64[::1], float64[::1], float64[:,::1])"
HELPERS = ()


def peaks(strengths: Any, states: Any, cents: Any, out: Any) -> None:
    """See the twin."""
    last = len(cents) - 2
    for hop in range(len(states)):
        out[1, hop] = strengths[hop, states[hop]]
        at = min(max(states[hop], 1), last)
        if strengths[hop, at + 1] > strengths[hop, at]:
            at += 1
        elif strengths[hop, at - 1] > strengths[hop, at]:
            at -= 1
        at = min(max(at, 1), last)
        low, middle, high = strengths[hop, at - 1], strengths[hop, at], strengths[hop, at + 1]
        bend = low - 2.0 * middle + high
        shift = 0.5 * (low - high) / bend if bend < 0.0 else 0.0
        out[0, hop] = cents[at] + GRID_CENTS * min(max(shift, -1.0), 1.0)
