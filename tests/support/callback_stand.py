"""The callbacks of a link without PortAudio: a test calls them as a driver would, and reads through the parent's side."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from audio.devices import _rings
from audio.devices._callback import Callbacks, Shape
from audio.devices._memory import Memory
from audio.devices._side import Side


@dataclass(frozen=True)
class Times:
    """Stamps of one callback, seconds of the driver's clock."""

    inputBufferAdcTime: float = 0.0
    currentTime: float = 0.0
    outputBufferDacTime: float = 0.0


@dataclass(frozen=True)
class Status:
    """What the driver flags; true when anything is."""

    input_underflow: bool = False
    input_overflow: bool = False
    output_underflow: bool = False
    output_overflow: bool = False
    priming_output: bool = False

    def __bool__(self) -> bool:
        return any((self.input_underflow, self.input_overflow, self.output_underflow, self.output_overflow))


class Stand:
    """One link: ``call`` is the driver, ``side`` the reader."""

    def __init__(
        self,
        *,
        rate_hz: int = 48_000,
        channels_in: int = 1,
        channels_out: int = 2,
        device_outputs: int | None = None,
        device_inputs: int | None = None,
        ceiling: float = 1.0,
        fade_in_frames: int = 0,
    ) -> None:
        self.rate_hz = rate_hz
        self._memory = Memory(_rings.size_bytes(channels_in, channels_out))
        self.shared = _rings.Shared(self._memory.map, channels_in, channels_out)
        shape = Shape(rate_hz, rate_hz, channels_in, channels_out, ceiling, fade_in_frames)
        self.callbacks = Callbacks(self.shared, shape)
        self.side = Side(self.shared, rate_hz, channels_in, channels_out)
        self._outputs = device_outputs or channels_out
        self._inputs = device_inputs or channels_in
        self._stamp = 100.0

    def settle(self) -> None:
        """The quiet beginning that is not counted."""
        while not self.shared.header[_rings.CALLBACKS]:
            before = self.callbacks._axis._quiet_frames
            if before < 0:
                return
            self.call(np.zeros((256, self._inputs), np.float32))

    def call(self, heard: Any, status: Status | None = None, *, skipped: int = 0) -> np.ndarray:
        """One callback with *heard*, *skipped* frames after the last one's end; what it sends out."""
        frames = len(heard)
        self._stamp += skipped / self.rate_hz
        times = Times(self._stamp, self._stamp + 0.001, self._stamp + 0.010)
        self._stamp += frames / self.rate_hz
        out = np.full((frames, self._outputs), np.nan, np.float32)
        rows = np.asarray(heard, np.float32).reshape(frames, -1)
        rows = np.repeat(rows, self._inputs // rows.shape[1], axis=1)
        self.callbacks.both(rows, out, frames, times, status or Status())
        return out
