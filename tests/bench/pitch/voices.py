"""Three models of a voice for the sets: what a pitch curve, a loudness curve and vowels sound like. Generators, no claims about anybody.

``series`` adds harmonics one by one, each with the gain and phase of five resonances, so nothing aliases. ``pulses`` is a flow of
glottal pulses (Rosenberg's shape C, with a sharp closure) at four times the rate, through chains of resonances between which it fades.
``soft`` is the first with a steep source and much breath: few harmonics, as in a half-voice or a hum.
All have jitter of 0.15 % and shimmer of 2 %, one factor a cycle.

Sources: Rosenberg (1971), JASA 49(2); resonances of men, Peterson & Barney (1952), JASA 24, table II (from memory, rounded); the two
above them and all bandwidths are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.signal import lfilter, resample_poly

RATE_HZ = 44_100
CONTROL_HZ = 500
JITTER, SHIMMER = 0.0015, 0.02
WIDTHS_HZ = (70.0, 90.0, 130.0, 200.0, 250.0)
UPPER_HZ = (3500.0, 4500.0)
SHAPES = {
    "i": (270, 2290, 3010),
    "e": (530, 1840, 2480),
    "a": (730, 1090, 2440),
    "o": (570, 840, 2410),
    "u": (300, 870, 2240),
    "l": (350, 1100, 2600),
    "m": (260, 1100, 2200),
    "n": (270, 1500, 2400),
}
OVER = 4


@dataclass(frozen=True, slots=True, eq=False)
class Sung:
    """What is to be sung, on the control grid: ``f0_hz`` and ``gain_db`` of shape (n,), and (start index, shape's name) in order.

    ``wide`` stretches all resonances: shorter throats sound higher.
    """

    f0_hz: np.ndarray
    gain_db: np.ndarray
    shapes: tuple[tuple[int, str], ...]
    wide: float


def series(rng, sung: Sung) -> np.ndarray:
    """A full voice, source falling by 5 to 9 dB an octave."""
    return _series(rng, sung, rng.uniform(-9.0, -5.0), -38.0)


def soft(rng, sung: Sung) -> np.ndarray:
    """A half-voice, source falling by 13 to 17 dB an octave, breath 26 dB down."""
    return _series(rng, sung, rng.uniform(-17.0, -13.0), -26.0)


def _cycles(rng, sung: Sung, rate_hz: int):
    """Phase in cycles, and loudness, at ``rate_hz``."""
    count = int(len(sung.f0_hz) / CONTROL_HZ * rate_hz)
    seconds = np.arange(count) / rate_hz
    control = np.arange(len(sung.f0_hz)) / CONTROL_HZ
    f0 = np.interp(seconds, control, sung.f0_hz)
    cycle = np.floor(np.cumsum(f0) / rate_hz).astype(int)
    jitter = 1.0 + JITTER * rng.standard_normal(cycle[-1] + 1)
    shimmer = 1.0 + SHIMMER * rng.standard_normal(cycle[-1] + 1)
    smooth = np.hanning(41 * rate_hz // RATE_HZ)
    loud = np.convolve(shimmer[cycle], smooth / smooth.sum(), "same")
    loud *= 10 ** (np.interp(seconds, control, sung.gain_db) / 20)
    return np.cumsum(f0 * jitter[cycle]) / rate_hz, loud


def _shape_curves(sung: Sung) -> np.ndarray:
    curves = np.empty((5, len(sung.f0_hz)))
    for at, name in sung.shapes:
        curves[:3, at:] = np.array(SHAPES[name])[:, None] * sung.wide
    curves[3:] = np.array(UPPER_HZ)[:, None]
    return curves


def _resonance(f_hz, centre_hz, width_hz):
    """Complex gain of one resonance, 1 at 0 Hz."""
    s = 1j * f_hz
    pole = -width_hz / 2 + 1j * centre_hz
    return (pole * pole.conj()) / ((s - pole) * (s - pole.conj()))


def _series(rng, sung: Sung, tilt_db: float, breath_db: float) -> np.ndarray:
    phase, loud = _cycles(rng, sung, RATE_HZ)
    seconds = np.arange(len(phase)) / RATE_HZ
    control = np.arange(len(sung.f0_hz)) / CONTROL_HZ
    curves = _shape_curves(sung)
    out = np.zeros(len(phase))
    for number in range(1, 80):
        f_hz = number * sung.f0_hz
        if f_hz.min() > 15_000:
            break
        response = np.ones(len(f_hz), dtype=complex)
        for centre, width in zip(curves, WIDTHS_HZ, strict=True):
            response *= _resonance(f_hz, centre, width)
        amplitude = np.abs(response) * number ** (tilt_db / 6.02) * (f_hz < 15_000)
        angle = np.interp(seconds, control, np.unwrap(np.angle(response)))
        out += np.interp(seconds, control, amplitude) * np.cos(2 * np.pi * number * phase + angle)
    breath = np.convolve(rng.standard_normal(len(out)), [1.0, -0.6], "same")
    out += 10 ** (breath_db / 20) * breath * (0.5 + 0.5 * np.cos(2 * np.pi * phase))
    return out * loud


def pulses(rng, sung: Sung) -> np.ndarray:
    """A pressed to flowing voice: open for 50 to 70 % of each cycle, closing in a quarter to a half of that."""
    phase, loud = _cycles(rng, sung, RATE_HZ * OVER)
    inside = phase - np.floor(phase)
    opened = rng.uniform(0.5, 0.7)
    rise = opened * rng.uniform(0.66, 0.8)
    fall = opened - rise
    flow = np.where(
        inside < rise,
        0.5 * np.pi / rise * np.sin(np.pi * inside / rise),
        np.where(inside < opened, -0.5 * np.pi / fall * np.sin(0.5 * np.pi * (inside - rise) / fall), 0.0),
    )
    breath = rng.standard_normal(len(flow)) * (inside < opened)
    source = resample_poly((flow + 10 ** (-34 / 20) * breath) * loud, 1, OVER)
    out = np.zeros(len(source))
    ends = [at for at, _ in sung.shapes[1:]] + [len(sung.f0_hz)]
    fade = np.hanning(2 * RATE_HZ // 50 + 1)
    fade /= fade.sum()
    for name in sorted({name for _, name in sung.shapes}):
        here = np.zeros(len(source))
        for (at, shape), end in zip(sung.shapes, ends, strict=True):
            if shape == name:
                here[at * RATE_HZ // CONTROL_HZ : end * RATE_HZ // CONTROL_HZ] = 1.0
        wet = source
        for centre, width in zip((*(hz * sung.wide for hz in SHAPES[name]), *UPPER_HZ), WIDTHS_HZ, strict=True):
            radius = np.exp(-np.pi * width / RATE_HZ)
            poles = [1.0, -2 * radius * np.cos(2 * np.pi * centre / RATE_HZ), radius**2]
            wet = lfilter([sum(poles)], poles, wet)
        out += wet * np.convolve(here, fade, "same")
    return out


MODELS = {"series": series, "pulses": pulses, "soft": soft}
