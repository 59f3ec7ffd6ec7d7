"""A small simulated room between a loudspeaker and a microphone, and what a quiet room sounds like by itself.

A direct sound after its way through the air, then reflections as seeded noise that falls 60 dB in the reverberation time (the usual
statistical picture of a room, Schroeder 1962, from memory). Convolution goes block by block (overlap-add, Stockham 1966, from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from audio.air import NOISE_FRAMES, breath_noise
from audio.block import Samples
from audio.instruments import LEVEL_DBFS
from audio.units import db_to_gain

SOUND_METRES_A_SECOND = 343.0
LOWEST_SPEAKER_HZ = 150.0
"""A laptop's loudspeaker gives little below."""

MAINS_HZ = 50.0


@dataclass(frozen=True, slots=True)
class Room:
    """How a loudspeaker reaches a microphone.

    Parameters
    ----------
    distance_metres : float
    reverberation_seconds : float
        Time in which reflections fall by 60 dB.
    reflections_db : float
        All reflections together against the direct sound.
    gain_db : float
        The direct sound at the microphone against what was played.
    seed : int
    """

    distance_metres: float = 0.6
    reverberation_seconds: float = 0.35
    reflections_db: float = -4.0
    gain_db: float = -14.0
    seed: int = 5

    def response(self, rate_hz: int) -> NDArray[np.float64]:
        """Impulse response, shape (n,)."""
        direct = round(self.distance_metres / SOUND_METRES_A_SECOND * rate_hz)
        count = round(self.reverberation_seconds * rate_hz)
        tail = np.random.default_rng(self.seed).standard_normal(count)
        tail *= 10.0 ** (-3.0 * np.arange(count) / max(count, 1))
        tail[: rate_hz // 400] = 0.0  # no wall is nearer than the table
        tail *= db_to_gain(self.reflections_db) / np.sqrt(np.sum(tail**2))
        whole = np.zeros(direct + count + 1)
        whole[direct] = 1.0
        whole[direct + 1 :] += tail
        bins = np.fft.rfft(whole, 2 * len(whole))
        s = 1j * np.fft.rfftfreq(2 * len(whole), 1 / rate_hz) / LOWEST_SPEAKER_HZ
        bins *= s**2 / (
            s**2 + np.sqrt(2) * s + 1
        )  # second order (Butterworth 1930), causal: nothing sounds before it was played
        heard: NDArray[np.float64] = np.fft.irfft(bins)[: len(whole)] * db_to_gain(self.gain_db)
        return heard


def through_room(blocks: Iterable[Samples], room: Room, rate_hz: int) -> Iterator[Samples]:
    """What the microphone hears of mono blocks, each of the same length as it came; what rings on after the last is dropped."""
    response = room.response(rate_hz)
    ringing = np.zeros(0)
    for block in blocks:
        size = len(block) + len(response) - 1
        fast = 1 << (size - 1).bit_length()
        heard = np.fft.irfft(np.fft.rfft(block, fast) * np.fft.rfft(response, fast), fast)[:size]
        heard[: len(ringing)] += ringing  # never longer than what the response alone adds
        ringing = heard[len(block) :]
        yield heard[: len(block)].astype(np.float32)


def quiet_room(from_frame: int, count: int, *, level_dbfs: float, rate_hz: int, seed: int) -> Samples:
    """Noise and a refrigerator's hum together at *level_dbfs*; float32, shape (count,)."""
    frames = np.arange(from_frame, from_frame + count)
    # half of the power each
    noise = breath_noise(seed, LEVEL_DBFS - 3.01)[frames % NOISE_FRAMES]
    hum = np.sin(2 * np.pi * MAINS_HZ * frames / rate_hz) * db_to_gain(LEVEL_DBFS)
    return ((noise + hum) * db_to_gain(level_dbfs - LEVEL_DBFS)).astype(np.float32)
