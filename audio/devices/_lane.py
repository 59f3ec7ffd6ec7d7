"""The frame count of one stream, kept in step with the machine's clock through stalls. Child process; the standard library only.

What real servers do, and what is done about it (PulseAudio 16 through PortAudio's ALSA host, measured with
tests/audio/devices/test_stalls.py):

- While a stream starts a few blocks are invented: nothing is counted until it has settled.
- A stall of the process or the server pauses the output and piles up the input. A stream in both directions then hands that old
  input out for ever, as much later as the stall was long, often without any flag, and spins. The stamps show it: the stream is
  *displaced*, its input is no longer given as sound, and it is to be begun anew.
- JACK passes cycles over when a client was late. The stamps of the next callback show how many, its flag comes one callback later.
- After a new beginning the count goes on where the machine's clock says it must be, so that music stays in time.
"""

from __future__ import annotations

from typing import Any

from audio.devices import _rings as at

SETTLE_SECONDS = 0.1
LONGEST_SETTLING_SECONDS = 1.0
LONGEST_LOSS_SECONDS = 10.0
"""A stamp that claims more than this was lost is not believed."""

EXACT_FRAMES = 1
LATE_SECONDS = 0.03
SHARE_OF_LATENESS = 0.75
"""A callback so late whose stamps are late by as much has frames missing before it; where a buffer took the delay up, the stamps
go on as if nothing had been."""

STALL_SECONDS = 0.16
"""So long without a callback, beyond a block's own length, and the output has run dry whether or not the driver says so."""

DISPLACED_SECONDS = 0.05
"""Stamps of PulseAudio wander by up to 0.02 s by themselves."""

DISPLACED_CALLBACKS = 3
BASELINE_CALLBACKS = 32
EARLIEST_SECONDS = 2.0


class Lane:
    """Counts frames.

    Parameters
    ----------
    rate_hz : int
    """

    def __init__(self, rate_hz: int) -> None:
        self.frame = 0
        self.callbacks = 0
        self.displaced = 0
        self._rate_hz = rate_hz
        self._quiet_frames = 0
        self._all_frames = 0
        self._stamp = 0.0
        self._stamp_frames = 0
        self._gap_before = 0
        self._trips: list[int] = []
        self._baseline: int | None = None
        self._last_seconds = 0.0
        self._earliest: list[tuple[float, float]] = []
        self._rejoining = False

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

    def begin_anew(self) -> None:
        """The stream was stopped and started: it settles once more, then the count goes on by the clock."""
        self._quiet_frames = self._all_frames = 0
        self._trips, self._baseline, self.displaced = [], None, 0
        self._rejoining = self.callbacks > 0

    def stalled(self, frames: int, now_seconds: float) -> bool:
        """Whether this callback comes so late that the output has run dry."""
        return not self._rejoining and self._late_seconds(frames, now_seconds) > STALL_SECONDS

    def step(self, frames: int, times: Any, status: Any, now_seconds: float) -> tuple[int, int, int]:
        """First frame of this callback, frames lost before it, and what was wrong."""
        wrong = lost = 0
        gap = self._gap(times)
        late_frames = self._late_seconds(frames, now_seconds) * self._rate_hz
        if gap is not None and gap > SHARE_OF_LATENESS * late_frames > SHARE_OF_LATENESS * LATE_SECONDS * self._rate_hz:
            wrong |= at.OVERFLOWED | at.UNDERFLOWED
            lost, gap = gap, 0
        if status:
            if status.input_overflow:
                wrong |= at.OVERFLOWED
                lost = lost or self._lost(gap)
                gap = 0
            if status.input_underflow:
                wrong |= at.INVENTED
            if status.output_underflow or status.output_overflow:
                wrong |= at.UNDERFLOWED
        if self.stalled(frames, now_seconds):
            wrong |= at.UNDERFLOWED
        if self._rejoining:
            wrong |= at.OVERFLOWED | at.UNDERFLOWED
            lost = self._missing(frames, now_seconds)
            self._rejoining = False
            self._earliest = []
        elif self._is_displaced(times):
            wrong |= at.INVENTED
        self._stamp, self._stamp_frames, self._gap_before = float(times.inputBufferAdcTime), frames, gap or 0
        start = self.frame + lost
        self.frame = start + frames
        self._look(now_seconds)
        return start, lost, wrong

    def round_trip_frames(self, times: Any) -> int:
        """What the stamps say of the way out and in; -1 when they say nothing plausible."""
        heard, left = float(times.inputBufferAdcTime), float(times.outputBufferDacTime)
        return round((left - heard) * self._rate_hz) if 0 < heard < left < heard + LONGEST_LOSS_SECONDS else -1

    def reported_frames(self, times: Any) -> int:
        """The same; of a stream in one direction its own way alone."""
        now, heard, left = float(times.currentTime), float(times.inputBufferAdcTime), float(times.outputBufferDacTime)
        way = now - heard if heard > 0 else left - now
        return round(way * self._rate_hz) if 0 < way < LONGEST_LOSS_SECONDS else -1

    def _is_displaced(self, times: Any) -> bool:
        """Whether the input has fallen behind the output for several callbacks running."""
        trip = self.round_trip_frames(times)
        if trip < 0:
            return False
        if self._baseline is None:
            self._trips.append(trip)
            if len(self._trips) == BASELINE_CALLBACKS:
                self._baseline = sorted(self._trips)[BASELINE_CALLBACKS // 2]
            return False
        late = trip > self._baseline + DISPLACED_SECONDS * self._rate_hz
        self.displaced = self.displaced + 1 if late else 0
        return self.displaced >= DISPLACED_CALLBACKS

    def _late_seconds(self, frames: int, now_seconds: float) -> float:
        """How much later than the last callback and its block this one came; 0 for the first."""
        return now_seconds - self._last_seconds - frames / self._rate_hz if self.callbacks else 0.0

    def _gap(self, times: Any) -> int | None:
        """Frames between the end of the last block and this one by the driver's stamps; None when they cannot be believed."""
        passed = float(times.inputBufferAdcTime) - self._stamp
        if self._stamp <= 0 or not 0 < passed < LONGEST_LOSS_SECONDS:
            return None
        return round(passed * self._rate_hz) - self._stamp_frames

    def _lost(self, gap: int | None) -> int:
        """Frames missing before a flagged callback: by its own stamps and those of the one before, whose flag this may be.

        Stamps that say exactly nothing was lost are exact and believed; those that cannot be believed leave 1, so that the gap is seen.
        """
        if gap is None:
            return 1
        whole = gap + self._gap_before
        return 0 if abs(whole) <= EXACT_FRAMES else max(1, whole)

    def _look(self, now_seconds: float) -> None:
        """Remember the earliest callback of each two seconds: when frame 0 was, by the machine's clock."""
        self._last_seconds = now_seconds
        if self.displaced:
            return
        zero = now_seconds - self.frame / self._rate_hz
        if not self._earliest or now_seconds - self._earliest[-1][0] > EARLIEST_SECONDS:
            self._earliest = [*self._earliest[-1:], (now_seconds, zero)]
        else:
            since, before = self._earliest[-1]
            self._earliest[-1] = (since, min(before, zero))

    def _missing(self, frames: int, now_seconds: float) -> int:
        """Frames by which the count has fallen behind the clock; at least 1, so that the gap is seen."""
        if not self._earliest:
            return 1
        # a stall may already stand in the latest two seconds, not in those before
        zero = min(since_zero for _, since_zero in self._earliest)
        return max(1, round((now_seconds - zero) * self._rate_hz) - frames - self.frame)
