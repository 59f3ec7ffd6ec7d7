"""What is put around a phrase: nothing, pink noise, a room.

To add one, add a function of (phrase, rng) to ``CONDITIONS``. One in which our own loudspeaker sounds gives the mixture and keeps what
was played beside it; see ``Sound``.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from sung import Phrase
from voices import RATE_HZ

LOWEST_NOISE_HZ = 30.0
DIRECT_TO_ROOM_DB = {0.4: -2.3, 1.2: -6.3}
FIRST_ECHO_S = 0.005
HISS_DBFS = -80.0


@dataclass(frozen=True, slots=True, eq=False)
class Sound:
    """``mic`` float64 (n,) at RATE_HZ, and what our loudspeaker sounded meanwhile, of the same shape, if it did."""

    mic: np.ndarray
    played: np.ndarray | None = None


def clean(phrase: Phrase, rng) -> Sound:
    """Nothing added but what any microphone hisses, so that nobody has to judge digital silence."""
    return Sound(phrase.sound + 10 ** (HISS_DBFS / 20) * rng.standard_normal(len(phrase.sound)))


def pink(snr_db: float) -> Callable[..., Sound]:
    """Pink noise, ``snr_db`` below the mean power of the sound while it is voiced."""

    def add(phrase: Phrase, rng) -> Sound:
        count = len(phrase.sound)
        f_hz = np.fft.rfftfreq(count, 1 / RATE_HZ)
        spectrum = np.fft.rfft(rng.standard_normal(count)) / np.sqrt(np.maximum(f_hz, LOWEST_NOISE_HZ))
        noise = np.fft.irfft(spectrum, count)
        voiced = np.repeat(phrase.truth_hz > 0, -(-count // len(phrase.truth_hz)))[:count]
        gain = np.sqrt((phrase.sound[voiced] ** 2).mean() / (noise**2).mean()) * 10 ** (-snr_db / 20)
        return Sound(phrase.sound + gain * noise)

    return add


def room(rt60_s: float) -> Callable[..., Sound]:
    """A diffuse room: the direct sound and, from 5 ms on, falling noise, treble falling faster."""

    def add(phrase: Phrase, rng) -> Sound:
        t = np.arange(int(1.2 * rt60_s * RATE_HZ)) / RATE_HZ
        tail = rng.standard_normal(len(t)) * 10 ** (-3 * t / rt60_s) * (t > FIRST_ECHO_S)
        tail = np.convolve(tail, [0.5, 0.5], "same")
        tail *= 10 ** (-DIRECT_TO_ROOM_DB[rt60_s] / 20) / np.sqrt((tail**2).sum())
        tail[0] = 1.0
        size = 1 << int(np.ceil(np.log2(len(phrase.sound) + len(t))))
        wet = np.fft.irfft(np.fft.rfft(phrase.sound, size) * np.fft.rfft(tail, size), size)[: len(phrase.sound)]
        return Sound(wet)

    return add


CONDITIONS: dict[str, Callable[..., Sound]] = {
    "clean": clean,
    "pink20": pink(20.0),
    "pink10": pink(10.0),
    "pink0": pink(0.0),
    "room0.4": room(0.4),
    "room1.2": room(1.2),
}


def sound_of(phrase: Phrase, condition: str) -> Sound:
    """The phrase in that condition, the same every time."""
    rng = np.random.default_rng((phrase.seed, sum(map(ord, phrase.register + phrase.model + condition)), 77))
    return CONDITIONS[condition](phrase, rng)
