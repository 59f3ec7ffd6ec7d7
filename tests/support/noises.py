"""Sounds of people and rooms that are no singing: coughs, doors, applause, speech. Seeded, at 48 kHz.

Shapes are our own, but for speech: espeak-ng (Debian) reads our own sentences, with its own melody of speech.
"""

from __future__ import annotations

import subprocess
import tempfile
from pathlib import Path

import numpy as np
import soundfile
from numpy.typing import NDArray
from rooms import at_level, at_rate
from scipy.signal import butter, sosfilt

Sound = NDArray[np.float64]
RATE_HZ = 48_000
SENTENCES = (
    "The tenors may sit down, the altos will sing the second verse once more.",
    "Please mark a breath before the last bar, and do not hurry.",
    "Is that the kettle? Somebody left the side door open again.",
)


def _band(sound: Sound, low_hz: float, high_hz: float) -> Sound:
    return np.asarray(sosfilt(butter(2, [low_hz, high_hz], "bandpass", fs=RATE_HZ, output="sos"), sound))


def cough(rng: np.random.Generator) -> Sound:
    """Two or three bursts, each a push of noise that ends in a rough voiced breath."""
    bursts = []
    for _ in range(int(rng.integers(2, 4))):
        frames = int(rng.uniform(0.18, 0.35) * RATE_HZ)
        t = np.arange(frames) / RATE_HZ
        noise = _band(rng.standard_normal(frames), 350, 3_500) * np.exp(-t / 0.07)
        rough = np.sign(np.sin(2 * np.pi * np.cumsum(rng.normal(140, 25, frames) * (1 - t)) / RATE_HZ))
        bursts += [noise + 0.15 * rough * np.exp(-((t - 0.12) ** 2) / 0.002), np.zeros(int(0.08 * RATE_HZ))]
    return np.concatenate(bursts)


def door(rng: np.random.Generator) -> Sound:
    """A slam: a knock, and the modes of a panel that ring for a third of a second."""
    t = np.arange(int(0.8 * RATE_HZ)) / RATE_HZ
    modes = sum(
        (np.sin(2 * np.pi * hz * t) * np.exp(-t / rng.uniform(0.05, 0.15)) for hz in rng.uniform(60, 420, 6)),
        np.zeros(len(t)),
    )
    return np.asarray(modes + rng.standard_normal(len(t)) * np.exp(-t / 0.015))


def applause(rng: np.random.Generator, seconds: float) -> Sound:
    """Twenty people, four claps a second each."""
    out = np.zeros(int((seconds + 0.1) * RATE_HZ))
    clap = np.exp(-np.arange(960) / 150)
    for at in rng.uniform(0, seconds, int(80 * seconds)):
        begin = int(at * RATE_HZ)
        out[begin : begin + 960] += rng.standard_normal(960) * clap * rng.uniform(0.2, 1)
    return _band(out, 500, 6_000)[: int(seconds * RATE_HZ)]


def speech(sentence: str, variant: str) -> Sound:
    """A sentence read aloud."""
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "said.wav"
        subprocess.run(["espeak-ng", "-v", variant, "-w", str(out), sentence], check=True, capture_output=True)
        sound, rate_hz = soundfile.read(out)
    return at_rate(sound, rate_hz, RATE_HZ)


def creak(rng: np.random.Generator, seconds: float) -> Sound:
    """Vocal fry: single pulses 20 to 45 ms apart, as they come, through an open vowel."""
    out = np.zeros(int(seconds * RATE_HZ))
    at = 0.0
    while at < seconds:
        out[min(int(at * RATE_HZ), len(out) - 1)] += rng.uniform(0.4, 1.0)
        at += float(np.clip(rng.lognormal(np.log(0.03), 0.3), 0.02, 0.045))
    return np.asarray(
        sum(
            (_band(out, hz * 0.93, hz * 1.07) * gain for hz, gain in ((700, 1.0), (1150, 0.6), (2500, 0.3))),
            np.zeros(len(out)),
        )
    )


def scattered(kind: str, seconds: float, *, seed: int, dbfs: float) -> Sound:
    """One kind of sound again and again, *seconds* long; dbfs is the level of each event."""
    rng = np.random.default_rng(seed)
    out = np.zeros(int(seconds * RATE_HZ))
    at = 0.3
    while at < seconds - 0.5:
        event = EVENTS[kind](rng)
        event = at_level(event, dbfs)
        begin = int(at * RATE_HZ)
        part = event[: len(out) - begin]
        out[begin : begin + len(part)] += part
        at += len(event) / RATE_HZ + float(rng.uniform(0.2, 1.2))
    return out


EVENTS = {
    "coughs": cough,
    "doors": door,
    "applause": lambda rng: applause(rng, float(rng.uniform(1.5, 4.0))),
    "speech": lambda rng: speech(str(rng.choice(SENTENCES)), str(rng.choice(["en+m3", "en+f2", "en+m7", "en+f3"]))),
}
