"""Two streams with two clocks on one axis, with the drift and the lateness of real ones simulated."""

from __future__ import annotations

import heapq
from dataclasses import dataclass

import numpy as np
import pytest
from callback_stand import Status, Times

from audio.block import Block
from audio.devices import _callback, _rings
from audio.devices._callback import Callbacks, Shape
from audio.devices._meeting import Meeting
from audio.devices._memory import Memory
from audio.devices._side import Side

HERTZ = 440.0


@dataclass
class Crystal:
    """A stream whose true rate is off by *ppm*, delivering *block* frames at a time, never early, sometimes late."""

    rate_hz: int
    ppm: float
    block: int

    @property
    def true_hz(self) -> float:
        return self.rate_hz * (1 + self.ppm * 1e-6)


def run(
    output: Crystal,
    microphone: Crystal,
    seconds: float,
    monkeypatch: pytest.MonkeyPatch,
    *,
    lost_at: float | None = None,
    lost_frames: int = 0,
) -> list[Block]:
    """Blocks of a link of two streams; the air at the microphone holds a tone of 440 Hz by the true clock."""
    rng = np.random.default_rng(17)
    now_ns = [0]
    monkeypatch.setattr(_callback.time, "perf_counter_ns", lambda: now_ns[0])
    memory = Memory(_rings.size_bytes(1, 2))
    shared = _rings.Shared(memory.map, 1, 2)
    shape = Shape(output.rate_hz, microphone.rate_hz, 1, 2, 1.0, 0)
    callbacks = Callbacks(shared, shape)
    meeting = Meeting(Side(shared, output.rate_hz, 1, 2), shared, microphone.rate_hz)
    blocks: list[Block] = []
    due = [(0.5 + output.block / output.true_hz, 0, 0), (0.5 + microphone.block / microphone.true_hz, 1, 0)]
    heapq.heapify(due)
    lost = 0
    next_read = 0.6
    while due[0][0] < seconds:
        at_seconds, which, frame = heapq.heappop(due)
        late = float(rng.exponential(0.0004)) + (float(rng.uniform(0, 0.02)) if rng.random() < 0.05 else 0.0)
        now_ns[0] = round((at_seconds + late) * 1e9)
        stream = microphone if which else output
        if which:
            status = Status()
            if lost_at is not None and not lost and at_seconds > lost_at:
                lost, status = lost_frames, Status(input_overflow=True)
                frame += lost
                at_seconds += lost / stream.true_hz
            true = 0.5 + (frame + np.arange(stream.block)) / stream.true_hz
            sound = (0.3 * np.sin(2 * np.pi * HERTZ * true)).astype(np.float32)[:, None]
            stamp = 1 + frame / stream.rate_hz
            callbacks.sound_in_beside(sound, stream.block, Times(stamp, stamp, stamp + 1), status)
        else:
            out = np.zeros((stream.block, 2), np.float32)
            callbacks.sound_out(out, stream.block, Times(0, 0, 0), Status())
        heapq.heappush(due, (at_seconds + stream.block / stream.true_hz, which, frame + stream.block))
        if at_seconds > next_read:
            blocks += meeting.read()
            next_read = at_seconds + 0.03
    return blocks


def delays_ms(blocks: list[Block], output: Crystal) -> np.ndarray:
    """Delay of the tone in each second against the output's own frames, milliseconds, unwrapped."""
    samples = np.concatenate([block.channel("mic1") for block in blocks]).astype(np.float64)
    start = blocks[0].start_frame
    size = output.rate_hz
    phases = []
    for at in range(0, len(samples) - size, size):
        true = (start + at + np.arange(size)) / output.true_hz
        phases.append(np.angle(np.sum(samples[at : at + size] * np.exp(-2j * np.pi * HERTZ * true) * np.hanning(size))))
    return -np.unwrap(phases) / (2 * np.pi * HERTZ) * 1000


@pytest.mark.parametrize(
    ("output", "microphone"),
    [
        (Crystal(48_000, 0, 512), Crystal(48_000, 80, 480)),
        (Crystal(48_000, 60, 256), Crystal(16_000, -60, 160)),
        (Crystal(44_100, -40, 441), Crystal(48_000, 40, 1_024)),
    ],
)
def test_drift_between_two_devices_moves_nobodys_beats(
    output: Crystal, microphone: Crystal, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Uncorrected, 80 ppm would be 3.2 ms in 40 s."""
    blocks = run(output, microphone, 42.0, monkeypatch)
    assert blocks[0].rate_hz == output.rate_hz
    assert all(block.lost_frames_before == 0 for block in blocks)
    delays = delays_ms(blocks, output)
    assert len(delays) > 35
    assert np.ptp(delays) < 1.0, delays
    samples = np.concatenate([block.channel("mic1") for block in blocks])[output.rate_hz :]
    assert abs(float(np.std(samples)) - 0.3 / np.sqrt(2)) < 0.002
    # nothing is cut or doubled: a pure tone's second difference stays as small as a pure tone's
    step = np.max(np.abs(np.diff(samples, 2)))
    assert step < 0.3 * (2 * np.pi * HERTZ / output.rate_hz) ** 2 * 1.1


def test_sound_lost_at_the_microphone_is_a_gap_on_the_common_axis(monkeypatch: pytest.MonkeyPatch) -> None:
    output, microphone = Crystal(48_000, 0, 512), Crystal(44_100, 0, 441)
    blocks = run(output, microphone, 8.0, monkeypatch, lost_at=5.0, lost_frames=4_410)
    gaps = [block.lost_frames_before for block in blocks if block.lost_frames_before]
    assert len(gaps) == 1
    assert 4_800 <= gaps[0] <= 4_800 + 80  # a tenth of a second, and what the interpolation reaches over
    ends = [block.end_frame for block in blocks]
    assert [block.start_frame - block.lost_frames_before for block in blocks[1:]] == ends[:-1]


def test_nothing_is_given_before_both_clocks_were_looked_at(monkeypatch: pytest.MonkeyPatch) -> None:
    assert run(Crystal(48_000, 0, 512), Crystal(48_000, 0, 512), 1.2, monkeypatch) == []
