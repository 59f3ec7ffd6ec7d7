"""Rooms and noises for tests, made here and seeded: pink noise, a decaying room, leaking loudspeakers.

Sources: a room's late sound as noise under an exponential decay, 60 dB in one reverberation time (Polack 1988, the usual model, from
memory); pink noise is 1/f in power by definition.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.fft import irfft, rfft
from scipy.signal import oaconvolve, resample_poly

Sound = NDArray[np.float64]


def level_dbfs(sound: Sound) -> float:
    """RMS level; a full-scale square wave is 0."""
    return float(10 * np.log10(np.mean(np.square(sound)) + 1e-20))


def at_level(sound: Sound, dbfs: float) -> Sound:
    """*sound* scaled to an RMS level; silence stays silence."""
    rms = float(np.sqrt(np.mean(np.square(sound)))) if len(sound) else 0.0
    return sound * (10 ** (dbfs / 20) / rms) if rms > 0 else sound


def pink(frames: int, rate_hz: int, *, seed: int, dbfs: float) -> Sound:
    """1/f noise from 20 Hz up."""
    # scipy keeps its plans, which halves what a length with a large prime costs; the bits are numpy's
    spectrum = rfft(np.random.default_rng(seed).standard_normal(frames))
    spectrum *= _pinkness(frames, rate_hz)
    return at_level(irfft(spectrum, frames), dbfs)


@lru_cache(maxsize=8)
def _pinkness(frames: int, rate_hz: int) -> Sound:
    hz = np.fft.rfftfreq(frames, 1 / rate_hz)
    return np.where(hz < 20, 0.0, 1 / np.sqrt(np.maximum(hz, 20)))


def hum(frames: int, rate_hz: int, *, dbfs: float, mains_hz: float = 50.0) -> Sound:
    """A refrigerator: mains hum with its first harmonics."""
    t = np.arange(frames) / rate_hz
    wave = sum((np.sin(2 * np.pi * mains_hz * k * t + k) / k for k in (1, 2, 3, 4)), np.zeros(frames))
    return at_level(wave, dbfs)


def mains(frames: int, rate_hz: int, *, dbfs: float, mains_hz: float) -> Sound:
    """Hum of the mains with every harmonic up to 360 Hz, each as loud as it comes from a cheap supply: falling slowly."""
    t = np.arange(frames) / rate_hz
    numbers = range(1, int(360 // mains_hz) + 1)
    return at_level(
        sum((np.sin(2 * np.pi * mains_hz * k * t + k * k) / np.sqrt(k) for k in numbers), np.zeros(frames)), dbfs
    )


TELEPHONE_HZ = 8_000


def through_telephone(sound: Sound, rate_hz: int) -> Sound:
    """*sound* as a telephone gives it, at TELEPHONE_HZ: 300 to 3400 Hz (ITU-T G.712, from memory), 8 bits after the mu law (G.711)."""
    spectrum = np.fft.rfft(sound)
    hz = np.fft.rfftfreq(len(sound), 1 / rate_hz)
    spectrum *= (hz / 300) ** 4 / (1 + (hz / 300) ** 4) / (1 + (hz / 3400) ** 16)
    narrow = at_rate(np.fft.irfft(spectrum, len(sound)), rate_hz, TELEPHONE_HZ)
    peak = float(np.max(np.abs(narrow))) or 1.0
    law = np.sign(narrow) * np.log1p(255 * np.abs(narrow) / peak) / np.log(256)
    coarse = np.round(law * 127) / 127
    return np.asarray(np.sign(coarse) * np.expm1(np.abs(coarse) * np.log(256)) / 255 * peak)


def in_room(sound: Sound, rate_hz: int, *, seed: int, rt60_s: float = 0.4, direct_to_reverb_db: float = 6.0) -> Sound:
    """*sound* as a microphone at some distance hears it; same length, the direct sound unmoved and at its own level."""
    frames = int(rt60_s * rate_hz)
    t = np.arange(frames) / rate_hz
    tail = np.random.default_rng(seed).standard_normal(frames) * 10 ** (-3 * t / rt60_s)
    tail[: int(0.004 * rate_hz)] = 0.0  # the first reflection comes after the direct sound
    tail *= 10 ** (-direct_to_reverb_db / 20) / np.sqrt(np.sum(tail**2))
    tail[0] += 1.0
    return np.asarray(oaconvolve(sound, tail)[: len(sound)])


def through_small_speaker(sound: Sound, rate_hz: int) -> Sound:
    """*sound* as a laptop's loudspeaker gives it: little below 300 Hz, bent a little at loud places."""
    spectrum = np.fft.rfft(sound)
    hz = np.fft.rfftfreq(len(sound), 1 / rate_hz)
    spectrum *= (hz / 300) ** 2 / (1 + (hz / 300) ** 2)
    bent = np.fft.irfft(spectrum, len(sound))
    peak = float(np.max(np.abs(bent))) or 1.0
    return np.asarray(np.tanh(1.2 * bent / peak) * peak / 1.2)


def at_rate(sound: Sound, rate_hz: int, wanted_hz: int) -> Sound:
    """Another sample rate, by scipy's polyphase filter (not the project's resampler)."""
    common = int(np.gcd(rate_hz, wanted_hz))
    return np.asarray(resample_poly(sound, wanted_hz // common, rate_hz // common))


def mixed(*sounds: Sound) -> Sound:
    """The sum of several sounds, as long as the longest."""
    total = np.zeros(max(len(sound) for sound in sounds))
    for sound in sounds:
        total[: len(sound)] += sound
    return total
