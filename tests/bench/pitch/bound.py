"""The fine error on steady harmonic tones in white noise, beside the Cramér-Rao bound for all the sound that an estimate used.

    var(w0) >= 24 sigma^2 / (N (N^2 - 1) sum of l^2 A_l^2)

for N samples of a real signal, Christensen & Jakobsson (2009), "Multi-Pitch Estimation", section 1.5 (from memory; ``fisher_cents``
is the same from a numeric Fisher matrix). Ten harmonics 1/l, signal-to-noise 20 dB over the whole band at 24 kHz, random phases.
"""

from __future__ import annotations

import numpy as np
from ours import INSIDE_HZ

from audio.block import Block
from audio.pitch import TRACKERS

HARMONICS, SNR_DB, SECONDS = 10, 20.0, 8.0
TONES_HZ = (82.4, 110.0, 164.8, 220.0, 329.6, 440.0, 659.3, 880.0)


def bound_cents(f0_hz: float, frames: float, noise_variance: float, harmonics: int = HARMONICS) -> float:
    """Least standard deviation of an unbiased estimate from ``frames`` samples at 24 kHz; A_l = 1 / l."""
    variance = 24 * noise_variance / (frames * (frames**2 - 1) * harmonics)
    return float(np.sqrt(variance) * INSIDE_HZ / (2 * np.pi) / f0_hz * 1200 / np.log(2))


def fisher_cents(f0_hz: float, frames: int, noise_variance: float, phases: np.ndarray) -> float:
    """The same, from the information matrix of f0, all amplitudes and all phases."""
    t = (np.arange(frames) - (frames - 1) / 2) / INSIDE_HZ
    number = np.arange(1, len(phases) + 1)[:, None]
    angle = 2 * np.pi * f0_hz * number * t + phases[:, None]
    pitch = (-2 * np.pi * number * t * np.sin(angle) / number).sum(axis=0)
    rows = np.vstack((pitch, np.cos(angle), np.sin(angle)))
    information = rows @ rows.T / noise_variance
    return float(np.sqrt(np.linalg.inv(information)[0, 0]) / f0_hz * 1200 / np.log(2))


def bound_table(key: str) -> None:
    """Print, for each tone: samples used, the error, the bound, their ratio, and how much the told uncertainty covers."""
    from audio.pitch.comb import frames_used

    print("fine error    samples   rms c  bound c  ratio  mean c  covered")
    rng = np.random.default_rng(20251125)
    ratios = []
    for f0_hz in TONES_HZ:
        phases = rng.uniform(0, 2 * np.pi, HARMONICS)
        t = np.arange(int(SECONDS * INSIDE_HZ)) / INSIDE_HZ
        number = np.arange(1, HARMONICS + 1)[:, None]
        tone = (np.cos(2 * np.pi * f0_hz * number * t + phases[:, None]) / number).sum(axis=0)
        noise = np.sqrt((tone**2).mean() / 10 ** (SNR_DB / 10))
        sound = (0.1 * (tone + rng.normal(0, noise, len(t)))).astype(np.float32)
        tracker = TRACKERS[key]()
        frames = tracker.feed(Block(sound[:, None], ("mic1",), 0, INSIDE_HZ)) + tracker.flush()
        inner = [f for f in frames if 0.2 * INSIDE_HZ < f.centre_frame < (SECONDS - 0.2) * INSIDE_HZ]
        error = np.array([f.f0_c100 for f in inner]) / 100 - (6900 + 1200 * np.log2(f0_hz / 440))
        used = frames_used(f0_hz)
        bound = bound_cents(f0_hz, used, noise**2)
        assert abs(bound / fisher_cents(f0_hz, round(used), noise**2, phases) - 1) < 0.1
        rms = float(np.sqrt((error**2).mean()))
        covered = np.mean(np.abs(error) <= [f.uncertainty_cents for f in inner])
        ratios.append(rms / bound)
        print(
            f"{f0_hz:7.1f} Hz {used:9.0f} {rms:8.3f} {bound:8.3f} {rms / bound:6.2f} {error.mean():7.3f} {100 * covered:7.1f} %"
        )
    print(f"worst ratio {max(ratios):.2f}, mean {np.mean(ratios):.2f}\n")
