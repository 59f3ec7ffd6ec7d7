"""Our own sound as it lies under the microphone's clock: delayed, and stretched where two devices' clocks differ."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from audio.canceller._filter import BLOCK_FRAMES

HALF_TAPS = 12
PHASES = 512
KAISER_BETA = 6.0
"""With 24 taps: within 0.5 % up to 9 kHz."""

_OFFSETS = np.arange(1 - HALF_TAPS, HALF_TAPS + 1)
_AWAY = _OFFSETS[None, :] - np.arange(PHASES + 1)[:, None] / PHASES
_WEIGHTS = np.sinc(_AWAY) * np.i0(KAISER_BETA * np.sqrt(np.clip(1.0 - (_AWAY / HALF_TAPS) ** 2, 0.0, 1.0)))
_WEIGHTS = (_WEIGHTS / _WEIGHTS.sum(axis=1, keepdims=True)).astype(np.float32)


class Reference:
    """Keeps what was played and gives it block by block, ``position`` moving ``1 - drift`` frames a frame.

    Parameters
    ----------
    start_frame : int
        Of the first sound.
    position : float
        Where the first block begins; what lies before *start_frame* is silence.
    """

    def __init__(self, start_frame: int, position: float) -> None:
        self.position = position
        self.drift = 0.0
        self._sound = np.zeros(0, np.float32)
        self._from = start_frame

    def add(self, sound: NDArray[np.float32]) -> None:
        """More of what was played."""
        self._sound = np.concatenate((self._sound, sound))

    def ready(self) -> bool:
        """Whether the next block is all there."""
        return self._from + len(self._sound) >= self.position + BLOCK_FRAMES + HALF_TAPS + 1

    def next_block(self) -> NDArray[np.float32]:
        """Shape (BLOCK_FRAMES,); silence where nothing is known."""
        begin = self.position
        self.position += BLOCK_FRAMES * (1.0 - self.drift)
        whole = int(np.floor(begin))
        if begin == whole and self.drift == 0.0:
            return self._stretch(whole, whole + BLOCK_FRAMES)
        # one fraction a block: at 100 ppm its ends are 0.013 frames off, 50 dB down at 1 kHz
        middle = begin + 0.5 * BLOCK_FRAMES * (1.0 - self.drift) - 0.5 * BLOCK_FRAMES
        whole = int(np.floor(middle))
        weights = _WEIGHTS[round((middle - whole) * PHASES)]
        sound = self._stretch(whole + 1 - HALF_TAPS, whole + BLOCK_FRAMES + HALF_TAPS)
        return np.correlate(sound, weights)

    def forget(self, before_frame: int) -> None:
        """What lies before is not asked for any more."""
        spent = min(before_frame - self._from, len(self._sound))
        if spent > 0:
            self._sound = self._sound[spent:]
            self._from += spent

    def _stretch(self, begin: int, end: int) -> NDArray[np.float32]:
        out = np.zeros(end - begin, np.float32)
        first, last = max(begin, self._from), min(end, self._from + len(self._sound))
        if first < last:
            out[first - begin : last - begin] = self._sound[first - self._from : last - self._from]
        return out
