"""Sung phrases with exactly known pitch, for measuring trackers. A generator of sound, no claim about anybody's voice.

A phrase is drawn from a seed: notes of one register, mistuned (SD 15 cents), with scoops, portamento, vibrato up to 70
cents, loud and quiet notes 20 dB apart, consonants and rests. The voice is a source (a falling harmonic series with jitter
0.15 % and shimmer a cycle, and breath) through five resonances; harmonics are added one by one, so nothing aliases.
``truth_hz`` is the pitch that the singer meant at each 5 ms, jitter left out, 0 where there is no voice.

Resonances: Peterson & Barney (1952), JASA 24, table II, means of men, women (F1 to F3), from memory and rounded; the two
above and all bandwidths are common practice, no source. Jitter and vibrato: Prame (1994), JASA 96(4), and as in the text.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

RATE_HZ = 44_100
GRID_SECONDS = 0.005
REGISTERS = {"bass": (38, 62), "tenor": (48, 67), "alto": (53, 74), "soprano": (60, 84)}  # MIDI notes
VOWELS = {
    "i": (270, 2290, 3010),
    "e": (530, 1840, 2480),
    "a": (730, 1090, 2440),
    "o": (570, 840, 2410),
    "u": (300, 870, 2240),
}
VOICED_CONSONANTS = {"l": ((350, 1100, 2600), -6.0), "m": ((260, 1100, 2200), -10.0), "n": ((270, 1500, 2400), -9.0)}
CONTROL_HZ = 500


@dataclass(frozen=True, slots=True, eq=False)
class Phrase:
    """``sound`` float64 (n,) at RATE_HZ; ``truth_hz`` each GRID_SECONDS; ``notes`` (start, end, MIDI pitch) in seconds."""

    sound: np.ndarray
    truth_hz: np.ndarray
    notes: tuple[tuple[float, float, float], ...]


@dataclass
class _Curve:
    """A piecewise curve on the control grid, filled stretch by stretch."""

    values: np.ndarray

    def put(self, begin_s: float, end_s: float, shape) -> None:
        low, high = round(begin_s * CONTROL_HZ), min(round(end_s * CONTROL_HZ), len(self.values))
        if high > low:
            self.values[low:high] = shape(np.arange(high - low) / CONTROL_HZ)


def sing(register: str, seed: int, seconds: float = 16.0) -> Phrase:
    """One phrase of one register."""
    rng = np.random.default_rng((seed, sorted(REGISTERS).index(register)))
    count = round(seconds * CONTROL_HZ)
    midi = _Curve(np.full(count, np.nan))
    gain_db = _Curve(np.full(count, -200.0))
    formants = np.full((5, count), np.nan)
    noises: list[tuple[float, float, str, float]] = []
    notes = _score(rng, register, seconds)
    wide = 1.0 if register in ("bass", "tenor") else 1.15
    upper = (3500.0, 4500.0)
    before = None
    for start, end, pitch, joined in notes:
        level = rng.choice([0.0, -3.0, -6.0, -10.0, -20.0]) - 6.0
        vowel = VOWELS[rng.choice(list(VOWELS))]
        shape = _pitch_shape(rng, pitch, before if joined else None, end - start)
        midi.put(start, end, shape)
        ramp = 0.02 + 0.04 * rng.random()
        fade = 0.02 if end - start < 0.2 else 0.06

        def loud(t, level=level, ramp=ramp, fade=fade, length=end - start, joined=joined):
            up = np.ones_like(t) if joined else np.clip(t / ramp, 1e-4, 1.0)
            down = np.clip((length - t) / fade, 1e-4, 1.0)
            return level + 20.0 * np.log10(up * down) + 1.5 * np.sin(2 * np.pi * 1.3 * t)

        gain_db.put(start, end, loud)
        low, high = round(start * CONTROL_HZ), min(round(end * CONTROL_HZ), count)
        formants[:3, low:high] = np.array(vowel)[:, None] * wide
        kind = rng.choice(["", "l", "m", "n", "s", "t", "sh"])
        length = 0.05 + 0.06 * rng.random()
        if kind in VOICED_CONSONANTS:
            where, drop = VOICED_CONSONANTS[kind]
            to = min(low + round(length * CONTROL_HZ), high)
            formants[:3, low:to] = np.array(where)[:, None]
            gain_db.values[low:to] += drop
        elif kind and not joined:
            noises.append((max(start - length, 0.0), start, kind, level - 18.0))
        before = pitch
    formants[3:] = np.array(upper)[:, None]
    voiced = np.isfinite(midi.values)
    formants = np.array([_filled(row) for row in formants])
    f0 = 440.0 * 2.0 ** ((_filled(midi.values) - 69.0) / 12.0)
    tilt_db = rng.uniform(-9.0, -5.0)
    sound = _voice(rng, f0, np.where(voiced, gain_db.values, -200.0), formants, tilt_db)
    for begin, end, kind, level in noises:
        _add_noise(rng, sound, begin, end, kind, level)
    truth = np.where(voiced & (gain_db.values > -60.0), f0, 0.0)
    grid = np.arange(int(seconds / GRID_SECONDS))
    at = np.minimum(np.round(grid * GRID_SECONDS * CONTROL_HZ).astype(int), count - 1)
    exact = np.interp(grid * GRID_SECONDS, np.arange(count) / CONTROL_HZ, f0)
    scale = 0.5 / np.abs(sound).max()
    return Phrase(sound * scale, np.where(truth[at] > 0, exact, 0.0), tuple((s, e, p) for s, e, p, _ in notes))


def _score(rng, register: str, seconds: float) -> list[tuple[float, float, float, bool]]:
    low, high = REGISTERS[register]
    now, pitch, notes, joined = 0.3, int(rng.integers(low + 2, high - 1)), [], False
    while True:
        length = float(rng.choice([0.25, 0.4, 0.6, 0.9, 1.3]))
        if now + length > seconds - 0.3:
            return notes
        notes.append((now, now + length, pitch + 0.15 * rng.standard_normal(), joined))
        now += length
        joined = rng.random() < 0.55
        if not joined:
            now += float(rng.choice([0.12, 0.2, 0.45]))
        pitch += int(rng.choice([-12, -7, -5, -4, -3, -2, -2, -1, -1, 0, 1, 1, 2, 2, 3, 4, 5, 7, 12]))
        while not low <= pitch <= high:
            pitch += 12 if pitch < low else -12


def _pitch_shape(rng, pitch: float, before: float | None, length: float):
    """MIDI pitch over a note's own time: scoop or portamento in, then vibrato growing, and a slow flutter."""
    extent = float(rng.choice([0.0, 10.0, 25.0, 45.0, 70.0]))
    rate = rng.uniform(4.8, 6.6)
    glide = rng.uniform(0.05, 0.12)
    start = before if before is not None else pitch - rng.choice([0.0, 0.0, 0.5, 1.0, 2.0])
    phase = rng.uniform(0, 2 * np.pi)
    flutter = rng.uniform(0, 2 * np.pi, 3)

    def shape(t):
        into = np.clip(t / glide, 0.0, 1.0)
        base = start + (pitch - start) * 0.5 * (1 - np.cos(np.pi * into))
        vibrato = extent / 100 * np.clip((t - 0.15) / 0.25, 0.0, 1.0) * np.sin(2 * np.pi * rate * t + phase)
        slow = 0.03 * sum(np.sin(2 * np.pi * hz * t + p) for hz, p in zip((0.7, 1.9, 3.1), flutter, strict=True))
        return base + vibrato + slow * min(1.0, length)

    return shape


def _filled(values: np.ndarray) -> np.ndarray:
    at = np.flatnonzero(np.isfinite(values))
    return np.interp(np.arange(len(values)), at, values[at])


def _resonance(f_hz, centre_hz, width_hz):
    """Complex gain of one resonance, 1 at 0 Hz."""
    s = 1j * f_hz
    pole = -width_hz / 2 + 1j * centre_hz
    return (pole * pole.conj()) / ((s - pole) * (s - pole.conj()))


def _voice(rng, f0, gain_db, formants, tilt_db):
    control = np.arange(len(f0)) / CONTROL_HZ
    seconds = np.arange(int(len(f0) / CONTROL_HZ * RATE_HZ)) / RATE_HZ
    f0_now = np.interp(seconds, control, f0)
    # jitter and shimmer: one factor a cycle
    cycle = np.floor(np.cumsum(f0_now) / RATE_HZ).astype(int)
    jitter = 1.0 + 0.0015 * rng.standard_normal(cycle[-1] + 1)
    shimmer = 1.0 + 0.02 * rng.standard_normal(cycle[-1] + 1)
    phase = 2 * np.pi * np.cumsum(f0_now * jitter[cycle]) / RATE_HZ
    # a cycle's loudness changes where the cycle does, smoothed so as not to click
    loud = np.convolve(shimmer[cycle], np.hanning(41) / np.hanning(41).sum(), "same")
    loud = loud * 10 ** (np.interp(seconds, control, gain_db) / 20)
    widths = (70.0, 90.0, 130.0, 200.0, 250.0)
    out = np.zeros(len(seconds))
    for number in range(1, 80):
        f_hz = number * f0
        if f_hz.min() > 15_000:
            break
        response = np.ones(len(f0), dtype=complex)
        for centre, width in zip(formants, widths, strict=True):
            response *= _resonance(f_hz, centre, width)
        amplitude = np.abs(response) * number ** (tilt_db / 6.02) * (f_hz < 15_000)
        angle = np.unwrap(np.angle(response))
        wave = np.cos(number * phase + np.interp(seconds, control, angle))
        out += np.interp(seconds, control, amplitude) * wave
    breath = np.convolve(rng.standard_normal(len(seconds)), [1.0, -0.6], "same")
    out += 10 ** (-38 / 20) * breath * (0.5 + 0.5 * np.cos(phase))
    return out * loud


def _add_noise(rng, sound, begin_s, end_s, kind, level_db) -> None:
    low, high = int(begin_s * RATE_HZ), int(end_s * RATE_HZ)
    noise = rng.standard_normal(high - low)
    bands = {"s": (4500, 9000), "sh": (1800, 5500), "t": (2500, 8000)}
    spectrum = np.fft.rfft(noise)
    f_hz = np.fft.rfftfreq(len(noise), 1 / RATE_HZ)
    centre, width = np.mean(bands[kind]), np.ptp(bands[kind]) / 2
    noise = np.fft.irfft(spectrum * np.exp(-0.5 * ((f_hz - centre) / width) ** 2), len(noise))
    shape = np.sin(np.pi * np.arange(len(noise)) / len(noise))
    if kind == "t":
        shape = np.where(np.arange(len(noise)) > 0.7 * len(noise), shape, 0.0)
    sound[low:high] += noise * shape * 10 ** (level_db / 20)


def with_pink(sound: np.ndarray, truth_hz: np.ndarray, snr_db: float, seed: int) -> np.ndarray:
    """Plus pink noise (30 Hz up), ``snr_db`` below the mean power of the whole sound."""
    rng = np.random.default_rng(seed)
    spectrum = np.fft.rfft(rng.standard_normal(len(sound)))
    f_hz = np.fft.rfftfreq(len(sound), 1 / RATE_HZ)
    noise = np.fft.irfft(spectrum / np.sqrt(np.maximum(f_hz, 30.0)), len(sound))
    return sound + noise * np.sqrt((sound**2).mean() / (noise**2).mean()) * 10 ** (-snr_db / 20)


def in_room(sound: np.ndarray, rt60_s: float, seed: int) -> np.ndarray:
    """In a diffuse room: the direct sound and, from 5 ms on, falling noise of the direct sound's own energy or less."""
    rng = np.random.default_rng(seed)
    t = np.arange(int(1.2 * rt60_s * RATE_HZ)) / RATE_HZ
    tail = rng.standard_normal(len(t)) * 10 ** (-3 * t / rt60_s) * (t > 0.005)
    tail = np.convolve(tail, [0.5, 0.5], "same")  # walls take the treble
    tail *= 10 ** (-3 / 20) / np.sqrt((tail**2).sum())
    size = 1 << int(np.ceil(np.log2(len(sound) + len(t))))
    tail[0] = 1.0
    return np.fft.irfft(np.fft.rfft(sound, size) * np.fft.rfft(tail, size), size)[: len(sound)]


CONDITIONS = {
    "clean": lambda p, seed: p.sound,
    "pink20": lambda p, seed: with_pink(p.sound, p.truth_hz, 20, seed),
    "pink10": lambda p, seed: with_pink(p.sound, p.truth_hz, 10, seed),
    "pink0": lambda p, seed: with_pink(p.sound, p.truth_hz, 0, seed),
    "room0.4": lambda p, seed: in_room(p.sound, 0.4, seed),
    "room1.2": lambda p, seed: in_room(p.sound, 1.2, seed),
}
