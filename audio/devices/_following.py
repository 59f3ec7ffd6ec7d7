"""A stream read at the pace of another one's clock: its sound is laid where the other's frames say it belongs.

Both streams stamp their callbacks with the machine's clock. A callback may be late but never early, so the earliest of many tells
where the stream stands; the difference of both tells how far they have drifted apart. The stream is read at a position that
follows it slowly (at most half a cent of pitch), through a band-limited interpolation, so that drift moves nobody's beats and no
sound is cut or doubled.

Source of the interpolation: Smith and Gossett 1984 (bandlimited interpolation by a windowed sinc, Kaiser's window).
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from audio.block import Samples

HALF_TAPS = 24
PHASES = 512
PASS = 0.93
"""Share of the band that passes whole."""

KAISER_BETA = 9.0
FIRST_SECONDS = 1.0
"""So much of both streams is looked at before the first sound is given."""

WINDOW_SECONDS = 1.0
WINDOWS = 30
STEER_SECONDS = 4.0
STEER_LIMIT = 3e-4
"""Half a cent (2^(1/2400) - 1 = 2.9e-4). Crystals differ by at most a third of it."""


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """Sound for the axis from *start* on, shape (n, channels), and the machine's time of the callback in which it lies."""

    start: int
    samples: Samples
    host_seconds: float


class Clock:
    """When a stream's frame 0 was, by the earliest of its callbacks."""

    def __init__(self, rate_hz: int) -> None:
        self.rate_hz = rate_hz
        self.seen_seconds = 0.0
        self._windows: deque[tuple[float, float]] = deque(maxlen=WINDOWS)
        self._began = 0.0

    def look(self, end_frame: int, host_seconds: float) -> None:
        """A callback whose last frame was *end_frame* came at *host_seconds*."""
        if not self.seen_seconds:
            self._began = host_seconds
        self.seen_seconds = host_seconds - self._began or 1e-9
        offset = host_seconds - end_frame / self.rate_hz
        if self._windows and host_seconds - self._windows[-1][0] < WINDOW_SECONDS:
            at_seconds, earliest = self._windows[-1]
            self._windows[-1] = (at_seconds, min(earliest, offset))
        else:
            self._windows.append((host_seconds, offset))

    @property
    def offset_seconds(self) -> float:
        """The machine's time of frame 0 as the stream stands now: a line through the earliest of each second, at its end."""
        rows = np.array(self._windows)
        if len(rows) < 4:
            return float(rows[:, 1].min())
        times = rows[:, 0] - rows[-1, 0]
        slope, end = np.polyfit(times, rows[:, 1], 1)
        return float(end if abs(slope) < STEER_LIMIT else np.median(rows[-4:, 1]))


class Follower:
    """Reads one stream for the axis of another.

    Parameters
    ----------
    axis : Clock
        Of the stream that owns the axis; looked at by whoever reads it.
    input_rate_hz : int
    channels : int
    fetch : callable
        Given a frame of the input and an array of shape (n, channels), fills it from there on.
    earlier_seconds : float
        The input is taken so much earlier than it arrives: another's sound takes that much longer on its way.
    """

    def __init__(
        self,
        axis: Clock,
        input_rate_hz: int,
        channels: int,
        fetch: Callable[[int, Samples], None],
        *,
        earlier_seconds: float = 0.0,
    ) -> None:
        self._output, self._input = axis, Clock(input_rate_hz)
        self._channels, self._fetch, self._earlier_seconds = channels, fetch, earlier_seconds
        self._ratio = input_rate_hz / axis.rate_hz
        self._kernel = _kernel(min(1.0, 1.0 / self._ratio))
        self._heard: list[list[int]] = []
        self._axis: list[tuple[int, int, float]] = []
        self._position: float | None = None

    @property
    def ready(self) -> bool:
        """Whether both clocks were looked at long enough."""
        return min(self._output.seen_seconds, self._input.seen_seconds) >= FIRST_SECONDS

    @property
    def waits_from(self) -> int | None:
        """The first frame of the axis that waits for its sound; None where all has been given or passed over."""
        return self._axis[0][0] if self._axis else None

    @property
    def needs_from(self) -> int:
        """The first frame of the input that may still be asked for."""
        return 0 if self._position is None else int(self._position) - HALF_TAPS

    def laid(self, start: int, end: int, host_seconds: float) -> None:
        """The axis has gone on from *start* to *end*; its first callback came at *host_seconds*."""
        self._axis.append((start, end, host_seconds))

    def heard(self, start: int, end: int, stamped_end: int, host_seconds: float) -> None:
        """The input from *start* to *end* can be fetched; the callback that ended at *stamped_end* came at *host_seconds*."""
        self._input.look(stamped_end, host_seconds)
        if self._heard and self._heard[-1][1] == start:
            self._heard[-1][1] = end
        else:
            self._heard.append([start, end])

    def pass_over(self) -> None:
        """What the axis has laid so far is not asked for."""
        self._axis.clear()

    def given(self) -> list[Piece]:
        """What can be given now, in order; frames of the axis of which nothing was heard are left out."""
        pieces: list[Piece] = []
        while self._axis and self._heard:
            start, end, host_seconds = self._axis[0]
            target = self._target(start)
            if self._position is None or abs(target - self._position) > self._input.rate_hz:
                self._position = target  # the beginning, or a loss of more than a second
            behind_seconds = (target - self._position) / self._input.rate_hz
            step = self._ratio * (1 + max(-STEER_LIMIT, min(STEER_LIMIT, behind_seconds / STEER_SECONDS)))
            first_heard, end_heard = self._heard[0]
            lowest, highest = first_heard + HALF_TAPS, end_heard - HALF_TAPS - 1
            if self._position < lowest:  # nothing was heard of these frames
                passed = min(end - start, int(np.ceil((lowest - self._position) / step)))
                self._go_on(passed, step)
                continue
            count = min(end - start, int((highest - self._position) / step))
            if count <= 0:
                if len(self._heard) == 1:
                    break  # more is to come
                self._heard.pop(0)
                continue
            positions = self._position + step * np.arange(count)
            pieces.append(Piece(start, self._interpolated(positions), host_seconds))
            self._go_on(count, step)
        return pieces

    def _target(self, frame: int) -> float:
        """Where in the input the axis' *frame* belongs by both clocks."""
        apart = self._output.offset_seconds - self._input.offset_seconds - self._earlier_seconds
        return (frame / self._output.rate_hz + apart) * self._input.rate_hz

    def _go_on(self, count: int, step: float) -> None:
        start, end, host_seconds = self._axis[0]
        self._position = (self._position or 0.0) + step * count
        if start + count < end:
            self._axis[0] = (start + count, end, host_seconds)
        else:
            self._axis.pop(0)

    def _interpolated(self, positions: NDArray[Any]) -> Samples:
        """Input at *positions*, shape (n, channels)."""
        whole = np.floor(positions).astype(np.int64)
        first = int(whole[0]) - HALF_TAPS + 1
        stretch = np.empty((int(whole[-1]) + HALF_TAPS + 1 - first, self._channels), np.float32)
        self._fetch(first, stretch)
        phase = np.round((positions - whole) * PHASES).astype(np.int64)
        taps = (whole - HALF_TAPS + 1 - first)[:, None] + np.arange(2 * HALF_TAPS)
        weights = self._kernel[phase]
        return np.asarray(np.einsum("nt,ntc->nc", weights, stretch[taps]), np.float32)


def _kernel(band: float) -> NDArray[np.float64]:
    """Weights by phase, shape (PHASES + 1, 2 * HALF_TAPS); *band* 1 is the input's whole band."""
    cut = band * PASS
    at_taps = np.arange(2 * HALF_TAPS) - (HALF_TAPS - 1)
    away = at_taps[None, :] - (np.arange(PHASES + 1) / PHASES)[:, None]
    inside = np.clip(1 - (away / HALF_TAPS) ** 2, 0, None)
    window = np.i0(KAISER_BETA * np.sqrt(inside)) / np.i0(KAISER_BETA)
    weights = cut * np.sinc(cut * away) * window
    return np.asarray(weights / weights.sum(axis=1, keepdims=True), np.float64)
