"""A click: a short soft burst at a stated pitch, over before a voice's vowel has begun.

Its effective level over its first 20 ms is that of a steady tone of any other instrument, so at one gain a click never outdoes a voice.
"""

from __future__ import annotations

import numpy as np

from audio.block import Samples
from audio.curve import PitchStep
from audio.instruments import INSTRUMENTS, LEVEL_DBFS
from audio.phrase import Phrase, Sung
from audio.units import db_to_gain

DECAY_SECONDS = 0.008
ATTACK_SECONDS = 0.002
LENGTH_SECONDS = 0.05
LOUD_SECONDS = 0.02


class Click:
    """Each note of a phrase is one burst at its first pitch, whatever its length."""

    def tone(self, f0_hz: float, length_frames: int, rate_hz: int, seed: int) -> Samples:
        """See ``Instrument.tone``; the seed has nothing to decide."""
        note = Sung(0, length_frames, (PitchStep(0, f0_hz),))
        return self.phrase(Phrase((note,), rate_hz), 0, length_frames, seed)

    def phrase(self, phrase: Phrase, from_frame: int, to_frame: int, seed: int) -> Samples:
        """See ``Instrument.phrase``."""
        sound = np.zeros(to_frame - from_frame, dtype=np.float32)
        for note in phrase.notes:
            if note.to_frame <= from_frame or note.from_frame >= to_frame:
                continue
            burst = _burst(note.steps[0].f0_hz, note.to_frame - note.from_frame, phrase.rate_hz)
            low, high = max(note.from_frame, from_frame), min(note.from_frame + len(burst), to_frame)
            if low < high:
                sound[low - from_frame : high - from_frame] = burst[low - note.from_frame : high - note.from_frame]
        return sound


def _burst(f0_hz: float, length_frames: int, rate_hz: int) -> Samples:
    frames = np.arange(min(length_frames, round(LENGTH_SECONDS * rate_hz)))
    seconds = frames / rate_hz
    swell = (1 - np.cos(np.pi * np.minimum(seconds / ATTACK_SECONDS, 1.0))) / 2
    # to nothing at its end, so that a cut burst does not click by itself
    end = np.minimum((len(frames) - 1 - frames) / max(1, len(frames) // 4), 1.0)
    burst = np.sin(2 * np.pi * f0_hz * seconds) * swell * np.exp(-seconds / DECAY_SECONDS) * end
    loud = burst[: round(LOUD_SECONDS * rate_hz)]
    rms = float(np.sqrt(np.mean(loud**2))) if len(loud) else 0.0
    scaled = burst * (db_to_gain(LEVEL_DBFS) / rms) if rms > 0 else burst
    return np.clip(scaled, -1.0, 1.0).astype(np.float32)


INSTRUMENTS.add("click", Click(), __name__)
