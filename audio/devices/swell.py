"""The room learnt at soundcheck: a soft sound like one wave on a beach, played and listened to.

Pink noise that rises from nothing and falls again within three seconds; it has every frequency that voices have, and no onset that could
startle. It is played after the chirps only, which are softer still, and never where they were not heard.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from audio.block import Block, Samples
from audio.canceller.learn import LONGEST_DELAY_SECONDS, found_delay, found_drift, learnt
from audio.canceller.path import EchoPath
from audio.canceller.stage import loudspeakers
from audio.devices.link import SoundLink
from audio.errors import DeviceError
from audio.resample import Resampler
from audio.units import RATE_HZ, db_to_gain

SWELL_SECONDS = 3.0
SWELL_DBFS = -32.0
"""Mean level where it is loudest: 9 dB under the chirps' peaks, and softer than any voice of ours."""

SWELL_HZ = (70.0, 9_000.0)
SWELL_SEED = 7
LEAD_SECONDS = 0.3


def swell(rate_hz: int) -> Samples:
    """The wave, float32, shape (n,)."""
    count = round(SWELL_SECONDS * rate_hz)
    bins = np.fft.rfft(np.random.default_rng(SWELL_SEED).standard_normal(count))
    hz = np.fft.rfftfreq(count, 1 / rate_hz)
    bins *= (hz >= SWELL_HZ[0]) & (hz <= SWELL_HZ[1])
    bins /= np.sqrt(np.maximum(hz, SWELL_HZ[0]))
    noise = np.fft.irfft(bins, count)
    rise = np.sin(np.pi * (np.arange(count) + 0.5) / count) ** 0.7
    return np.asarray(noise / np.sqrt(np.mean(noise**2)) * rise * db_to_gain(SWELL_DBFS), np.float32)


def learn_room(link: SoundLink, wait: Callable[[float], None] = time.sleep) -> EchoPath | None:
    """Play the wave and learn the room from it, about four seconds; None where it is not heard.

    Parameters
    ----------
    link : SoundLink
        With a microphone and an output.
    wait : function of seconds

    Raises
    ------
    DeviceError
        When the device vanishes.
    """
    wave = np.repeat(swell(link.rate_hz)[:, None], link.channels_out, axis=1)
    link.read()
    start = link.write_until() + round(LEAD_SECONDS * link.rate_hz)
    end = start + len(wave) + round(LONGEST_DELAY_SECONDS * link.rate_hz)
    laid, step = 0, link.rate_hz // 10
    blocks: list[Block] = []
    while not blocks or blocks[-1].end_frame < end:
        while laid < len(wave) and start + laid + step < link.write_until() + min(link.rate_hz, link.room_frames // 2):
            link.play(start + laid, wave[laid : laid + step])
            laid += step
        wait(0.02)
        blocks += link.read()
        if not link.alive:
            raise DeviceError(link.trouble, f"{link.input_name}, {link.output_name}", "plug it in again and repeat")
    if any(block.lost_frames_before for block in blocks[1:]):
        return None
    return room_in(blocks)


def room_in(blocks: list[Block]) -> EchoPath | None:
    """The room in a recording of "mic1" and "played1"; None where what was played is not heard."""
    heard, played = _at_rate(blocks, "mic1"), _at_rate([loudspeakers(block) for block in blocks], "played")
    delay = found_delay(played, heard, round(LONGEST_DELAY_SECONDS * RATE_HZ))
    if delay is None:
        return None
    first = int(np.flatnonzero(np.abs(played) > 1e-5)[0])
    heard, played = heard[first:], played[first:]
    return learnt(played, heard, delay, drift_ppm=found_drift(played, heard, delay))


def _at_rate(blocks: list[Block], channel: str) -> NDArray[np.float64]:
    resampler = Resampler(channel)
    parts = [out.samples[:, 0] for block in blocks for out in resampler.feed(block)]
    return np.concatenate(parts + [out.samples[:, 0] for out in resampler.flush()]).astype(np.float64)
