"""Our trackers as estimators of the bench."""

from __future__ import annotations

import time

import numpy as np
from marks import Line
from voices import RATE_HZ

from audio.block import Block
from audio.heard import PitchFrame
from audio.pitch import TRACKERS
from audio.units import RATE_HZ as INSIDE_HZ
from audio.units import c100_to_hz

BLOCK_FRAMES = 512
FINE_BLOCK_FRAMES = 64  # 1.5 ms, where it is asked when a frame became known


def track(key: str, sound: np.ndarray, block_frames: int = BLOCK_FRAMES) -> tuple[Line, list[PitchFrame]]:
    """What our tracker says of a sound fed in blocks."""
    tracker = TRACKERS.load("audio.pitch")[key]()
    samples = sound.astype(np.float32)[:, None]
    blocks = [
        Block(samples[begin : begin + block_frames].copy(), ("mic1",), begin, RATE_HZ)
        for begin in range(0, len(samples), block_frames)
    ]
    frames: list[PitchFrame] = []
    known: list[float] = []
    began = time.process_time()
    for block in blocks:
        heard = tracker.feed(block)
        frames += heard  # type: ignore[arg-type]
        known += [block.end_frame / RATE_HZ] * len(heard)
    rest = tracker.flush()
    spent = time.process_time() - began
    frames += rest  # type: ignore[arg-type]
    known += [len(sound) / RATE_HZ] * len(rest)
    hertz = np.array([c100_to_hz(f.f0_c100) * (1 if f.voiced else -1) for f in frames])
    return Line(np.array([f.centre_frame for f in frames]) / INSIDE_HZ, hertz, np.array(known), spent), frames
