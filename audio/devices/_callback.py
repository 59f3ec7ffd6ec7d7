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
from audio.devices._rings import RING_FRAMES, Fence, Shared

SETTLE_SECONDS = 0.1
LONGEST_SETTLING_SECONDS = 1.0
LONGEST_LOSS_SECONDS = 10.0
"""A stamp that claims more than this was lost is not believed."""

EXACT_FRAMES = 1


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
        self._axis = _Lane(shape.rate_hz)
        self._input = _Lane(shape.input_rate_hz)
        self._faded = 0
        self._closing = False

    def both(self, heard: Any, out: Any, frames: int, times: Any, status: Any) -> None:
        """One stream in both directions."""
        try:
            if self._axis.settled(frames, status):
                start, lost, wrong = self._begin(self._axis, frames, times, status)
                self._hear(start, heard)
                self._sound(start, out, frames)
                self._end(start, frames, lost, wrong, times)
            else:
                out.fill(0)
        except Exception as err:
            out.fill(0)
            self._failed(err)

    def sound_out(self, out: Any, frames: int, times: Any, status: Any) -> None:
        """A stream that only sounds: it owns the axis."""
        try:
            if self._axis.settled(frames, status):
                start, lost, wrong = self._begin(self._axis, frames, times, status)
                self._sound(start, out, frames)
                self._end(start, frames, lost, wrong, times)
            else:
                out.fill(0)
        except Exception as err:
            out.fill(0)
            self._failed(err)

    def sound_in_alone(self, heard: Any, frames: int, times: Any, status: Any) -> None:
        """A stream that only listens where nothing sounds: it owns the axis."""
        try:
            if self._axis.settled(frames, status):
                start, lost, wrong = self._begin(self._axis, frames, times, status)
                self._hear(start, heard)
                self._end(start, frames, lost, wrong, times)
        except Exception as err:
            self._failed(err)

    def sound_in_beside(self, heard: Any, frames: int, times: Any, status: Any) -> None:
        """A stream that listens beside another that sounds, at a rate and a clock of its own."""
        try:
            if not self._input.settled(frames, status):
                return
            start, lost, wrong = self._input.step(frames, times, status)
            self._hear(start, heard)
            row = (start, frames, lost, wrong, time.perf_counter_ns(), -1)
            self._shared.input_records[self._input.callbacks % at.RECORDS] = row
            self._count(lost, wrong, 0, frames)
            self._input.callbacks += 1
            self._header[at.INPUT_LAST_NS] = row[4]
            self._fence()
            self._header[at.INPUT_CALLBACKS] = self._input.callbacks
        except Exception as err:
            self._failed(err)

    def _begin(self, lane: _Lane, frames: int, times: Any, status: Any) -> tuple[int, int, int]:
        start, lost, wrong = lane.step(frames, times, status)
        self._header[at.TAKEN] = start + frames
        return start, lost, wrong

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

    def _end(self, start: int, frames: int, lost: int, wrong: int, times: Any) -> None:
        header = self._header
        row = (start, frames, lost, wrong, time.perf_counter_ns(), self._axis.round_trip_frames(times))
        self._shared.records[self._axis.callbacks % at.RECORDS] = row
        self._axis.callbacks += 1
        self._count(lost, wrong, start, frames)
        header[at.LAST_NS] = row[4]
        self._fence()
        header[at.FRAMES] = start + frames
        header[at.CALLBACKS] = self._axis.callbacks

    def _count(self, lost: int, wrong: int, start: int, frames: int) -> None:
        if wrong:
            header = self._header
            header[at.OVERFLOWS] += (wrong & (at.OVERFLOWED | at.INVENTED)) != 0
            header[at.UNDERFLOWS] += (wrong & at.UNDERFLOWED) != 0
            header[at.LOST] += lost + (frames if wrong & at.INVENTED else 0)
            header[at.LAST_FLAGGED] = (start or self._axis.frame) + 1

    def _failed(self, err: Exception) -> None:
        self.fault = f"{type(err).__name__}: {err}"
        self._header[at.FAULT] = 1
        self.on_fault()


class _Lane:
    """The frame count of one stream."""

    def __init__(self, rate_hz: int) -> None:
        self.frame = 0
        self.callbacks = 0
        self._rate_hz = rate_hz
        self._quiet_frames = 0
        self._all_frames = 0
        self._stamp = 0.0
        self._stamp_frames = 0

    def settled(self, frames: int, status: Any) -> bool:
        """Whether counting may begin or has begun."""
        if self._quiet_frames < 0:
            return True
        self._quiet_frames = 0 if status else self._quiet_frames + frames
        self._all_frames += frames
        if (
            self._quiet_frames >= SETTLE_SECONDS * self._rate_hz
            or self._all_frames >= LONGEST_SETTLING_SECONDS * self._rate_hz
        ):
            self._quiet_frames = -1
        return False

    def step(self, frames: int, times: Any, status: Any) -> tuple[int, int, int]:
        """First frame of this callback, frames lost before it, and what was wrong."""
        wrong = lost = 0
        if status:
            if status.input_overflow:
                wrong |= at.OVERFLOWED
                lost = self._lost(times)
            if status.input_underflow:
                wrong |= at.INVENTED
            if status.output_underflow or status.output_overflow:
                wrong |= at.UNDERFLOWED
        self._stamp, self._stamp_frames = float(times.inputBufferAdcTime), frames
        start = self.frame + lost
        self.frame = start + frames
        return start, lost, wrong

    def round_trip_frames(self, times: Any) -> int:
        """What the stamps say of the way out and in; -1 when they say nothing plausible."""
        heard, left = float(times.inputBufferAdcTime), float(times.outputBufferDacTime)
        return round((left - heard) * self._rate_hz) if 0 < heard < left < heard + LONGEST_LOSS_SECONDS else -1

    def _lost(self, times: Any) -> int:
        """Frames between the end of the last block and this one by the driver's stamps.

        Stamps that say exactly nothing was lost are exact and believed (JACK flags cycles that were only late); stamps that cannot be
        believed leave 1, so that the gap is seen.
        """
        passed = float(times.inputBufferAdcTime) - self._stamp
        if self._stamp <= 0 or not 0 < passed < LONGEST_LOSS_SECONDS:
            return 1
        gap = round(passed * self._rate_hz) - self._stamp_frames
        return 0 if abs(gap) <= EXACT_FRAMES else max(1, gap)
