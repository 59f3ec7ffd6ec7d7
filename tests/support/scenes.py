"""Sound of every kind that a microphone may send, drawn from a seed, cut into blocks of every length."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from audio.block import Block

RATES_HZ = (48_000, 48_000, 44_100, 24_000, 96_000, 16_000)


def scene(seed: int, seconds: float = 1.0) -> list[Block]:
    """Some voices, noise, silence, an echo, spoilt samples and lost blocks, or none of them."""
    rng = np.random.default_rng(seed)
    rate_hz = RATES_HZ[seed % len(RATES_HZ)]
    count = round(seconds * rate_hz)
    sound = rng.choice([0.0, 1e-5, 0.003, 0.1]) * rng.normal(size=count)
    for _ in range(rng.integers(0, 4)):
        sound += _voice(rng, count, rate_hz)
    if rng.random() < 0.3:
        sound += rng.choice([0.3, -0.01])  # an offset
    if rng.random() < 0.4:
        begin, end = np.sort(rng.integers(0, count, 2))
        sound[begin:end] *= rng.choice([0.0, 0.05])
    if rng.random() < 0.4:
        fall = np.exp(-np.arange(round(0.3 * rate_hz)) / rng.uniform(0.02, 0.1) / rate_hz)
        echo = rng.normal(size=len(fall)) * fall * rng.uniform(0.01, 0.1)
        sound = np.fft.irfft(np.fft.rfft(sound, 2 * count) * (1.0 + np.fft.rfft(echo, 2 * count)))[:count]
    if rng.random() < 0.2:
        sound = np.clip(10.0 * sound, -1.0, 1.0)
    if rng.random() < 0.3:
        begin = rng.integers(0, count)
        sound[begin : begin + rng.integers(1, 400)] = rng.choice([np.nan, np.inf])
    return list(_blocks(rng, sound.astype(np.float32), rate_hz))


def _voice(rng: np.random.Generator, count: int, rate_hz: int) -> np.ndarray:
    time = np.arange(count) / rate_hz
    f0_hz = np.exp2(rng.uniform(np.log2(65.0), np.log2(1100.0)) + rng.choice([0.0, 0.0, 0.5]) * time)
    f0_hz *= np.exp2(rng.choice([0.0, 0.0, 0.04]) * np.sin(2 * np.pi * 5.5 * time))
    phase = 2 * np.pi * np.cumsum(f0_hz) / rate_hz
    top = int(min(rng.integers(1, 15), 0.45 * rate_hz / f0_hz.max()))
    tilt = rng.uniform(0.0, 2.0)
    voice = sum(np.sin(n * phase + rng.uniform(0.0, 6.0)) / n**tilt for n in range(1, max(top, 1) + 1))
    begin, end = np.sort(rng.integers(0, count, 2)) if rng.random() < 0.5 else (0, count)
    sings = (np.arange(count) >= begin) & (np.arange(count) < end)
    return 10.0 ** rng.uniform(-3.0, -0.7) * voice * sings * np.exp(-rng.choice([0.0, 0.0, 6.0]) * time)


def _blocks(rng: np.random.Generator, sound: np.ndarray, rate_hz: int) -> Iterator[Block]:
    longest = rng.choice([100, 512, 4_000])
    begin = lost = 0
    start_frame = int(rng.integers(0, 1_000))
    while begin < len(sound):
        end = min(begin + int(rng.integers(1, longest + 1)), len(sound))
        if rng.random() < 0.01:
            lost += end - begin
        else:
            samples = sound[begin:end, None].copy()
            yield Block(samples, ("mic1",), start_frame + begin, rate_hz, lost_frames_before=lost)
            lost = 0
        begin = end
