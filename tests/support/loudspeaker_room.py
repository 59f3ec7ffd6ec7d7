"""A loudspeaker, a room and a microphone for tests of our own sound taken away. Shares no code with the project.

A loudspeaker that gives little below its cut-off and bends what is loud; a direct sound, a handful of early reflections drawn from the
seed, a tail of noise under an exponential decay (Polack 1988, from memory); a laptop moved, as other reflections at a level; a second
clock, by cubic interpolation of the fourfold oversampled sound.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline
from scipy.signal import butter, fftconvolve, resample_poly, sosfilt

Sound = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Setup:
    """Where our sound comes out and how it goes in.

    Parameters
    ----------
    rate_hz, seed : int
    rt60_s : float
    delay_s : float
        Of devices and air together.
    direct_db : float
        The direct sound against all reflections.
    gain_db : float
        The direct sound at the microphone against what was played.
    lowest_hz : float
        Second order.
    bent : float
        Share of the second and of the third harmonic at a tenth of full scale, each.
    ppm : float
        How much slower the microphone's clock runs.
    moved_db : float or None
        Other reflections than at soundcheck, so strong against the whole response.
    """

    rate_hz: int = 24_000
    seed: int = 1
    rt60_s: float = 0.35
    delay_s: float = 0.03
    direct_db: float = 3.0
    gain_db: float = -12.0
    lowest_hz: float = 160.0
    bent: float = 0.0
    ppm: float = 0.0
    moved_db: float | None = None

    def moved(self, moved_db: float = -15.0) -> Setup:
        """The same with the laptop pushed aside."""
        return replace(self, moved_db=moved_db)

    def response(self) -> Sound:
        """Impulse response, shape (n,)."""
        whole = _reflections(self, self.seed)
        if self.moved_db is not None:
            other = _reflections(self, self.seed + 77_000)
            other[: round((self.delay_s + 0.001) * self.rate_hz)] = 0.0
            whole = whole + other * 10 ** (self.moved_db / 20) * np.sqrt(np.sum(whole**2) / np.sum(other**2))
        return whole * 10 ** (self.gain_db / 20)

    def at_microphone(self, played: Sound) -> Sound:
        """What of the played sound arrives, of the same length."""
        sound = sosfilt(butter(2, self.lowest_hz, "highpass", fs=self.rate_hz, output="sos"), played)
        if self.bent:
            loud = sound / 0.1  # cos^2 and cos^3 hold the second harmonic by a half and the third by a quarter
            sound = 0.1 * (loud + self.bent * (2 * loud**2 + 4 * loud**3))
        heard = fftconvolve(sound, self.response())[: len(played)]
        return _other_clock(heard, self.ppm) if self.ppm else np.asarray(heard)


def _reflections(setup: Setup, seed: int) -> Sound:
    rng = np.random.default_rng(seed)
    rate = setup.rate_hz
    t = np.arange(int(1.2 * setup.rt60_s * rate)) / rate
    late = rng.standard_normal(len(t)) * 10 ** (-3 * t / setup.rt60_s) * (t > 0.008)
    late = np.convolve(late, [0.25, 0.5, 0.25], "same")  # walls take the treble
    early = np.zeros(len(t))
    for _ in range(6):
        at = rng.uniform(0.001, 0.02)
        early[int(at * rate)] += rng.choice([-1, 1]) * rng.uniform(0.1, 0.4) * 10 ** (-3 * at / setup.rt60_s)
    around = late / np.sqrt(np.sum(late**2)) + early
    around *= 10 ** (-setup.direct_db / 20) / np.sqrt(np.sum(around**2))
    around[0] += 1.0
    return np.concatenate([np.zeros(round(setup.delay_s * rate)), around])


def _other_clock(sound: Sound, ppm: float) -> Sound:
    often = resample_poly(sound, 4, 1)
    at = np.arange(len(sound)) * (1 + ppm * 1e-6)
    there = at <= len(sound) - 2
    out = np.zeros(len(sound))
    out[there] = CubicSpline(np.arange(len(often)) / 4, often)(at[there])
    return out


def level_db(sound: Sound) -> float:
    """RMS level in dB."""
    return float(10 * np.log10(np.mean(np.square(sound)) + 1e-20))


def soft_noise(frames: int, rate_hz: int, *, seed: int, dbfs: float) -> Sound:
    """A room's own noise: white, rolled off above 2 kHz."""
    noise = sosfilt(butter(1, 2_000, fs=rate_hz, output="sos"), np.random.default_rng(seed).standard_normal(frames))
    return np.asarray(noise * 10 ** (dbfs / 20) / np.std(noise))


def tone(
    f0_hz: float, seconds: float, rate_hz: int, *, seed: int, vibrato_cents: float = 0.0, tilt_db: float = -8.0
) -> Sound:
    """A harmonic tone of level 1 with soft ends; its phases come from the seed."""
    t = np.arange(int(seconds * rate_hz)) / rate_hz
    cents = vibrato_cents * np.sin(2 * np.pi * 5.3 * t + seed)
    phase = 2 * np.pi * np.cumsum(f0_hz * 2 ** (cents / 1200)) / rate_hz
    phases = np.random.default_rng(seed).uniform(0, 2 * np.pi, 60)
    count = min(40, int(0.4 * rate_hz / f0_hz))
    wave = sum(10 ** (tilt_db * np.log2(k) / 20) * np.cos(k * phase + phases[k]) for k in range(1, count + 1))
    ends = np.clip(np.minimum(t, t[::-1]) / 0.05, 0, 1)
    return np.asarray(wave / np.std(wave) * ends)


def voices(seconds: float, rate_hz: int, *, seed: int, lowest: tuple[float, ...] = (110.0, 165.0, 262.0)) -> Sound:
    """Several lines of short tones, each in its own fifth or so; level 1."""
    rng = np.random.default_rng(seed)
    total = np.zeros(int(seconds * rate_hz))
    for low_hz in lowest:
        at = 0.0
        while at < seconds - 0.1:
            length = min(float(rng.choice([0.5, 0.75, 1.0, 1.5])), seconds - at)
            note = tone(
                low_hz * 2 ** (rng.integers(0, 9) / 12),
                length,
                rate_hz,
                seed=int(rng.integers(1 << 30)),
                vibrato_cents=12,
            )
            begin = int(at * rate_hz)
            total[begin : begin + len(note)] += note[: len(total) - begin]
            at += length
    return np.asarray(total / np.std(total))
