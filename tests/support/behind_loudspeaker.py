"""Our own voices out of a loudspeaker into the microphone, taken away as a live take does that soundcheck has prepared.

The room is learnt from the wave of soundcheck, played through the same loudspeaker and room (``loudspeaker_room``, which shares no code
with the canceller); then the take goes through the tracker behind the canceller.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import numpy as np
from loudspeaker_room import Setup, Sound, soft_noise

from audio.block import Block
from audio.canceller.learn import found_delay, found_drift, learnt
from audio.canceller.path import EchoPath
from audio.canceller.stage import Canceller
from audio.canceller.tracking import CancellingTracker
from audio.devices.swell import swell
from audio.heard import Gap, PitchFrame
from audio.pitch import DEFAULT_TRACKER, TRACKERS
from audio.units import RATE_HZ
from trainer.practice.settings import Settings
from trainer.score.model import Score
from trainer.takes.played import beside, voices_sounded

NOISE_DBFS = -64.0
BLOCK_FRAMES = 4_096


@cache
def learnt_in(room: Setup) -> EchoPath:
    """The room as soundcheck learns it."""
    wave = np.concatenate([swell(RATE_HZ).astype(float), np.zeros(RATE_HZ // 2)])
    heard = room.at_microphone(wave) + soft_noise(len(wave), RATE_HZ, seed=room.seed, dbfs=NOISE_DBFS)
    delay = found_delay(wave, heard, RATE_HZ)
    if delay is None:
        raise RuntimeError(f"the wave was not heard in {room}")
    return learnt(wave, heard, delay, drift_ppm=found_drift(wave, heard, delay))


def sounded(score: Score, which: tuple[int, ...], settings: Settings) -> Sound:
    """What our loudspeaker sounds of these lines, at ``RATE_HZ``, bar 1 where the settings have it; a second of silence after it."""
    starts_s = float(settings.starts_at_s)
    blocks = list(voices_sounded(score, which, settings)())
    length = blocks[-1].end_frame / blocks[-1].rate_hz + starts_s + 1.0
    empty = (Block(np.zeros((RATE_HZ, 1), np.float32), ("mic1",), k * RATE_HZ, RATE_HZ) for k in range(int(length)))
    together = list(beside(empty, blocks, round(starts_s * RATE_HZ)))
    return np.concatenate([block.channel("played1") for block in together]).astype(float)


def heard_behind(path: EchoPath, heard: Sound, played: Sound, *, entry_frame: int) -> Iterator[PitchFrame | Gap]:
    """What the tracker hears of a microphone beside a loudspeaker, both at ``RATE_HZ``; nobody sings before *entry_frame*."""
    canceller = Canceller(path=path, nobody=lambda frame: frame < entry_frame)
    tracker = CancellingTracker(canceller, TRACKERS.load("audio.pitch")[DEFAULT_TRACKER])
    table = np.stack([heard, played], axis=1).astype(np.float32)
    for begin in range(0, len(table), BLOCK_FRAMES):
        yield from tracker.feed(Block(table[begin : begin + BLOCK_FRAMES].copy(), ("mic1", "played1"), begin, RATE_HZ))
    yield from tracker.flush()
