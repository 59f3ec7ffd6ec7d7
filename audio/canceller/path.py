"""What is known of the way from our loudspeaker to our microphone."""

from __future__ import annotations

import base64
import binascii
import zlib
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audio.canceller._filter import TAPS

LEAD_FRAMES = 48
"""The first sound stands so far behind the filter's beginning, 2 ms: a delay that came out a little short is still inside."""


@dataclass(frozen=True, slots=True, eq=False)
class EchoPath:
    """A room, a loudspeaker and a microphone together.

    Parameters
    ----------
    taps : float32 array, shape (TAPS,)
        Response at ``RATE_HZ`` from ``delay_frames`` on.
    delay_frames : int
        At ``RATE_HZ``, 0 or more: from a frame's leaving to the response's beginning.
    drift_ppm : float
        How much faster the microphone's clock runs than the loudspeaker's.
    left_db : float
        What the filter leaves of our own sound, against what it takes away: negative.
    """

    taps: NDArray[np.float32]
    delay_frames: int
    drift_ppm: float = 0.0
    left_db: float = -25.0

    def __post_init__(self) -> None:
        """Refuse what is no response."""
        if self.taps.shape != (TAPS,) or not np.isfinite(self.taps).all() or self.delay_frames < 0:
            raise ValueError(f"{self.taps.shape} taps after {self.delay_frames} frames are no echo path")
        self.taps.setflags(write=False)

    @property
    def gain_db(self) -> float:
        """How loud white noise comes back against how it left."""
        return float(10 * np.log10(max(float(np.square(self.taps, dtype=np.float64).sum()), 1e-12)))

    def packed(self) -> str:
        """The taps as text for a small file; half precision keeps 60 dB, more than any filter takes away."""
        peak = max(float(np.abs(self.taps).max()), 1e-9)
        halves = (self.taps / peak).astype(np.float16).tobytes()
        return f"{peak!r}:{base64.b85encode(zlib.compress(halves)).decode()}"


def unpacked(text: str, *, delay_frames: int, drift_ppm: float, left_db: float) -> EchoPath:
    """The path of ``EchoPath.packed``. Raises ValueError for a text that is not whole."""
    peak, colon, packed = text.partition(":")
    try:
        halves = np.frombuffer(zlib.decompress(base64.b85decode(packed)), np.float16)
    except (zlib.error, binascii.Error) as err:
        raise ValueError("the stored room is damaged") from err
    if not colon:
        raise ValueError("the stored room is damaged")
    return EchoPath((halves.astype(np.float32) * float(peak)), delay_frames, drift_ppm, left_db)
