"""Twin of ``_salience._windowed``."""

from __future__ import annotations

from typing import Any

from audio.pitch._salience import SILENCE, WINDOW_FRAMES

SIGNATURE = "void(float64[::1], int64, int64, float64[::1], float64[:,::1], boolean[::1])"
HELPERS = ()


def windowed(sound: Any, first: int, step: int, window: Any, out: Any, sounds: Any) -> None:
    """See the twin."""
    for hop in range(len(sounds)):
        begin = first + step * hop
        for frame in range(WINDOW_FRAMES):
            out[hop, frame] = sound[begin + frame] * window[frame]
        sounds[hop] = False
        for frame in range(begin, begin + WINDOW_FRAMES // 2 + 1):
            if abs(sound[frame]) > SILENCE:
                sounds[hop] = True
                break
