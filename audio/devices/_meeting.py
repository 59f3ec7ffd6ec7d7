"""Two streams with two clocks brought on to one axis: the microphone's sound is laid where the output's frames say it belongs.

Both streams stamp their callbacks with the machine's clock. A callback may be late but never early, so the earliest of many tells
where the stream stands; the difference of both tells how far they have drifted apart. The microphone is read at a position that
follows it slowly (at most half a cent of pitch), through a band-limited interpolation, so that drift moves nobody's beats and no
sound is cut or doubled.

Source of the interpolation: Smith and Gossett 1984 (bandlimited interpolation by a windowed sinc, Kaiser's window).
"""

from __future__ import annotations

from collections import deque
from typing import Any

import numpy as np
from numpy.typing import NDArray

from audio.block import Block, Samples
from audio.devices import _rings as at
from audio.devices._rings import RING_FRAMES, Fence, Shared
from audio.devices._side import SPARE_FRAMES, Side, stretches

HALF_TAPS = 24
PHASES = 512
PASS = 0.93
"""Share of the band that passes whole."""

KAISER_BETA = 9.0
FIRST_SECONDS = 1.0
"""So much of both streams is looked at before the first block is given."""

WINDOW_SECONDS = 1.0
WINDOWS = 30
STEER_SECONDS = 4.0
STEER_LIMIT = 3e-4
"""Half a cent (2^(1/2400) - 1 = 2.9e-4). Crystals differ by at most a third of it."""


class Meeting:
    """Reads a link of two streams.

    Parameters
    ----------
    side : Side
        Of the output, whose frames are the axis.
    shared : Shared
    input_rate_hz : int
    """

    def __init__(self, side: Side, shared: Shared, input_rate_hz: int) -> None:
        self._side = side
        self._shared = shared
        self._fence = Fence()
        self._ratio = input_rate_hz / side.rate_hz
        self._output = _Clock(side.rate_hz)
        self._input = _Clock(input_rate_hz)
        self._kernel = _kernel(min(1.0, 1.0 / self._ratio))
        self._read_input = 0
        self._heard: list[list[int]] = []
        self._axis: list[tuple[int, int, float]] = []
        self._position: float | None = None

    def read(self) -> list[Block]:
        """As ``SoundLink.read``."""
        for first, last in stretches(self._side.new_records()):
            start, end = int(first[at.START]), int(last[at.START] + last[at.COUNT])
            self._output.look(end, int(last[at.HOST_NS]) / 1e9)
            self._axis.append((start, end, int(first[at.HOST_NS]) / 1e9))
        for first, last in stretches(self._new_input()):
            start, end = int(first[at.START]), int(last[at.START] + last[at.COUNT])
            self._input.look(end, int(last[at.HOST_NS]) / 1e9)
            if self._heard and self._heard[-1][1] == start:
                self._heard[-1][1] = end
            else:
                self._heard.append([start, end])
        if self._output.seen_seconds < FIRST_SECONDS or self._input.seen_seconds < FIRST_SECONDS:
            self._axis.clear()
            return []
        return self._blocks()

    def _blocks(self) -> list[Block]:
        blocks: list[Block] = []
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
            samples = np.empty((count, len(self._side.names)), np.float32)
            samples[:, : self._side.channels_in] = self._interpolated(positions)
            blocks.append(self._side.block(start, samples, host_seconds))
            self._go_on(count, step)
        return blocks

    def _target(self, frame: int) -> float:
        """Where in the input the output's *frame* belongs by both clocks."""
        return (
            frame / self._side.rate_hz + self._output.offset_seconds - self._input.offset_seconds
        ) * self._input.rate_hz

    def _go_on(self, count: int, step: float) -> None:
        start, end, host_seconds = self._axis[0]
        self._position = (self._position or 0.0) + step * count
        if start + count < end:
            self._axis[0] = (start + count, end, host_seconds)
        else:
            self._axis.pop(0)

    def _new_input(self) -> list[Any]:
        count = int(self._shared.header[at.INPUT_CALLBACKS])
        first = max(self._read_input, count - at.RECORDS // 2)
        self._fence()
        wanted = [self._shared.input_records[index % at.RECORDS].copy() for index in range(first, count)]
        newest = int(wanted[-1][at.START]) if wanted else 0
        kept = [row for row in wanted if row[at.START] >= newest - RING_FRAMES + SPARE_FRAMES]
        if len(kept) < count - self._read_input:
            self._side.overrun(self._side.taken, 0)
        self._read_input = count
        return kept

    def _interpolated(self, positions: NDArray[Any]) -> Samples:
        """Input at *positions*, shape (n, channels_in)."""
        whole = np.floor(positions).astype(np.int64)
        first = int(whole[0]) - HALF_TAPS + 1
        stretch = np.empty((int(whole[-1]) + HALF_TAPS + 1 - first, self._side.channels_in), np.float32)
        self._shared.heard.get(first, stretch)
        phase = np.round((positions - whole) * PHASES).astype(np.int64)
        taps = (whole - HALF_TAPS + 1 - first)[:, None] + np.arange(2 * HALF_TAPS)
        weights = self._kernel[phase]
        return np.asarray(np.einsum("nt,ntc->nc", weights, stretch[taps]), np.float32)


class _Clock:
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


def _kernel(band: float) -> NDArray[np.float64]:
    """Weights by phase, shape (PHASES + 1, 2 * HALF_TAPS); *band* 1 is the input's whole band."""
    cut = band * PASS
    at_taps = np.arange(2 * HALF_TAPS) - (HALF_TAPS - 1)
    away = at_taps[None, :] - (np.arange(PHASES + 1) / PHASES)[:, None]
    inside = np.clip(1 - (away / HALF_TAPS) ** 2, 0, None)
    window = np.i0(KAISER_BETA * np.sqrt(inside)) / np.i0(KAISER_BETA)
    weights = cut * np.sinc(cut * away) * window
    return np.asarray(weights / weights.sum(axis=1, keepdims=True), np.float64)
