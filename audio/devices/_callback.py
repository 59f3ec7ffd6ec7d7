"""What PortAudio calls: copies sound both ways, counts, returns. Lives in the child process; numpy and the standard library only.

Nothing here waits, prints, raises or calls PortAudio. Until the stream has settled nothing is counted: servers invent a few blocks
while they start, and those are no fault of a take.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from audio.devices import _rings as at
from audio.devices._lane import DISPLACED_CALLBACKS, Lane
from audio.devices._rings import RING_FRAMES, Fence, Shared


@dataclass(frozen=True, slots=True)
class Shape:
    """What was opened.

    Parameters
    ----------
    rate_hz : int
        Of the axis: the output's, or the input's where nothing sounds.
    input_rate_hz : int
        The same but for two streams of two rates.
    channels_in, channels_out : int
        Of the shared memory; the devices may have more or, for output, fewer.
    ceiling : float
        Amplitude that no sample passes.
    fade_in_frames : int
    """

    rate_hz: int
    input_rate_hz: int
    channels_in: int
    channels_out: int
    ceiling: float
    fade_in_frames: int


class Callbacks:
    """The callbacks of one link: ``both`` for a stream that does both, else ``sound_in`` and ``sound_out``."""

    def __init__(self, shared: Shared, shape: Shape) -> None:
        self.fault = ""
        self.on_fault: Callable[[], None] = lambda: None
        self._shared = shared
        self._shape = shape
        self._header = shared.header
        self._fence = Fence()
        self._numbers = np.arange(RING_FRAMES, dtype=np.int64)
        self._axis = Lane(shape.rate_hz)
        # two streams stamp each its own way, and only one of them stands in the records
        both = shape.channels_in > 0 and shape.channels_out > 0
        self._reported = self._axis.round_trip_frames if both else self._axis.reported_frames
        self._input = Lane(shape.input_rate_hz)
        self._faded = 0
        self._closing = False

    @property
    def displaced(self) -> bool:
        """Whether the stream is to be begun anew."""
        return self._axis.displaced >= DISPLACED_CALLBACKS

    def begin_anew(self) -> None:
        """The stream was stopped and is about to start."""
        self._axis.begin_anew()

    def both(self, heard: Any, out: Any, frames: int, times: Any, status: Any) -> None:
        """One stream in both directions."""
        self._serve(heard, out, frames, times, status, time.perf_counter_ns())

    def sound_out(self, out: Any, frames: int, times: Any, status: Any) -> None:
        """A stream that only sounds: it owns the axis."""
        now_ns = time.perf_counter_ns()
        if self._axis.stalled(frames, now_ns / 1e9):
            self._axis.begin_anew()  # its buffer has run dry and fills in a burst: the count waits till that is over
        self._serve(None, out, frames, times, status, now_ns)

    def sound_in_alone(self, heard: Any, frames: int, times: Any, status: Any) -> None:
        """A stream that only listens where nothing sounds: it owns the axis."""
        self._serve(heard, None, frames, times, status, time.perf_counter_ns())

    def _serve(self, heard: Any, out: Any, frames: int, times: Any, status: Any, now_ns: int) -> None:
        """A callback of the stream that owns the axis; a direction that it has not is None."""
        try:
            if self._axis.settled(frames, status):
                start, lost, wrong = self._axis.step(frames, times, status, now_ns / 1e9)
                self._header[at.TAKEN] = start + frames
                if heard is not None:
                    self._hear(start, heard)
                if out is not None:
                    self._sound(start, out, frames)
                self._end(start, frames, lost, wrong, times, now_ns)
            else:
                if out is not None:
                    out.fill(0)
                self._header[at.LAST_NS] = now_ns
        except Exception as err:
            if out is not None:
                out.fill(0)
            self._failed(err)

    def sound_in_beside(self, heard: Any, frames: int, times: Any, status: Any) -> None:
        """A stream that listens beside another that sounds, at a rate and a clock of its own."""
        now_ns = time.perf_counter_ns()
        try:
            self._header[at.INPUT_LAST_NS] = now_ns
            if not self._input.settled(frames, status):
                return
            start, lost, wrong = self._input.step(frames, times, status, now_ns / 1e9)
            self._hear(start, heard)
            self._shared.input_records[self._input.callbacks % at.RECORDS] = (start, frames, lost, wrong, now_ns, -1)
            self._count(lost, wrong, self._axis.frame, frames)
            self._input.callbacks += 1
            self._fence()
            self._header[at.INPUT_CALLBACKS] = self._input.callbacks
        except Exception as err:
            self._failed(err)

    def _hear(self, start: int, heard: Any) -> None:
        self._shared.heard.put(start, heard[:, : self._shape.channels_in])

    def _sound(self, start: int, out: Any, frames: int) -> None:
        shape = self._shape
        laid = np.empty((frames, shape.channels_out), np.float32)
        meant = np.empty(frames, np.int64)
        self._shared.meant.get(start, meant)
        self._shared.laid.get(start, laid)
        ours = meant == self._numbers[:frames] + (start + 1)
        if not ours.all():
            laid[~ours] = 0.0
        np.clip(laid, -shape.ceiling, shape.ceiling, out=laid)
        if self._faded < shape.fade_in_frames and (self._faded or laid.any()):
            rise = (self._numbers[:frames] + self._faded) / np.float32(shape.fade_in_frames)
            laid *= np.minimum(rise, 1.0).astype(np.float32)[:, None]
            self._faded += frames
        if self._header[at.CLOSING]:
            fall = self._numbers[:frames][::-1] / np.float32(frames) * np.float32(not self._closing)
            laid *= fall.astype(np.float32)[:, None]
            self._closing = True
        self._shared.played.put(start, laid)
        if out.shape[1] == 1 < shape.channels_out:
            out[:, 0] = laid.mean(axis=1)
        else:
            out[:, : shape.channels_out] = laid
            out[:, shape.channels_out :] = 0.0

    def _end(self, start: int, frames: int, lost: int, wrong: int, times: Any, now_ns: int) -> None:
        header = self._header
        row = (start, frames, lost, wrong, now_ns, self._reported(times))
        self._shared.records[self._axis.callbacks % at.RECORDS] = row
        self._axis.callbacks += 1
        self._count(lost, wrong, start, frames)
        header[at.LAST_NS] = now_ns
        self._fence()
        header[at.FRAMES] = start + frames
        header[at.CALLBACKS] = self._axis.callbacks

    def _count(self, lost: int, wrong: int, start: int, frames: int) -> None:
        if wrong:
            header = self._header
            header[at.OVERFLOWS] += (wrong & (at.OVERFLOWED | at.INVENTED)) != 0
            header[at.UNDERFLOWS] += (wrong & at.UNDERFLOWED) != 0
            header[at.LOST] += lost + (frames if wrong & at.INVENTED else 0)
            header[at.LAST_FLAGGED] = start + 1

    def _failed(self, err: Exception) -> None:
        self.fault = f"{type(err).__name__}: {err}"
        self._header[at.FAULT] = 1
        self.on_fault()
