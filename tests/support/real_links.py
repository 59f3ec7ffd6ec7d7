"""What tests of real links share: collecting blocks for a while, joining them to one array, tones."""

from __future__ import annotations

import itertools
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import soundfile

from audio.block import Block
from audio.devices import SoundLink


def heard_for(link: SoundLink, seconds: float, also: Callable[[], None] = lambda: None) -> list[Block]:
    """Blocks of so many seconds of the axis; gives up after three times as long."""
    blocks: list[Block] = []
    until = time.monotonic() + 3 * seconds + 5
    while not blocks or blocks[-1].end_frame - blocks[0].start_frame < seconds * link.rate_hz:
        also()
        blocks += link.read()
        assert link.alive, link.trouble
        assert time.monotonic() < until, f"{len(blocks)} blocks in {3 * seconds + 5} s"
        time.sleep(0.01)
    return blocks


def heard_until(link: SoundLink, channel: str, seconds: float = 15.0) -> list[Block]:
    """Blocks until *channel* has sound, and a quarter of a second more; gives up after so many seconds."""
    blocks: list[Block] = []
    until = time.monotonic() + seconds
    while not any(np.any(block.channel(channel)) for block in blocks):
        blocks += link.read()
        assert link.alive, link.trouble
        assert time.monotonic() < until, f"{channel} is silent for {seconds} s; {link.flags()}"
        time.sleep(0.01)
    return [*blocks, *heard_for(link, 0.25)]


def joined(blocks: list[Block], channel: str) -> tuple[int, np.ndarray]:
    """First frame, and one channel from there on, zeros where sound was lost."""
    start = blocks[0].start_frame
    out = np.zeros(blocks[-1].end_frame - start)
    for block in blocks:
        out[block.start_frame - start : block.end_frame - start] = block.channel(channel)
    return start, out


def on_one_axis(blocks: list[Block]) -> bool:
    """Whether every frame of the axis is in a block or counted as lost."""
    return all(
        block.start_frame == before.end_frame + block.lost_frames_before for before, block in itertools.pairwise(blocks)
    )


def lag_frames(first: np.ndarray, second: np.ndarray) -> int:
    """Frames by which *second* follows *first*, by the peak of their correlation."""
    size = 1 << (len(first) + len(second)).bit_length()
    across = np.fft.irfft(np.fft.rfft(second, size) * np.conj(np.fft.rfft(first, size)), size)
    at = int(np.argmax(np.abs(across)))
    return at if at < size // 2 else at - size


def tone(hertz: float, seconds: float, *, rate_hz: int = 48_000, level: float = 0.1) -> np.ndarray:
    """A tone of twelve harmonics with soft ends, float32."""
    at = np.arange(round(seconds * rate_hz)) / rate_hz
    wave = sum(np.sin(2 * np.pi * hertz * k * at) / k for k in range(1, 13) if hertz * k < rate_hz / 2.2)
    fade = np.minimum(1, np.minimum(at, at[-1] - at) / 0.02)
    return (wave * fade * level).astype(np.float32)


def save(place: Path, samples: np.ndarray, rate_hz: int = 48_000) -> Path:
    """A recording on the disk."""
    soundfile.write(place, samples, rate_hz)
    return place


def cents_of(samples: np.ndarray, hertz: float, rate_hz: int) -> float:
    """How far the strongest component near *hertz* is from it, by the phase that it gains between two windows.

    Source: phase vocoder's instantaneous frequency (Flanagan and Golden 1966).
    """
    size = 8_192
    window = np.hanning(size)
    turn = np.exp(-2j * np.pi * hertz * np.arange(len(samples)) / rate_hz)
    base = np.asarray(samples) * turn
    hop = 1_024
    sums = [np.sum(base[at : at + size] * window) for at in range(0, len(samples) - size, hop)]
    steps = np.angle(np.array(sums[1:]) * np.conj(np.array(sums[:-1])))
    off_hz = float(np.median(steps)) * rate_hz / (2 * np.pi * hop)
    return 1200 * float(np.log2((hertz + off_hz) / hertz))
