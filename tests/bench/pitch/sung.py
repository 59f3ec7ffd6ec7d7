"""Sung phrases with exactly known pitch, for measuring trackers.

A phrase is drawn from a seed: notes of one register, mistuned (SD 15 cents), with scoops, portamento, vibrato up to 70 cents, loud
and quiet notes up to ``LEVELS_DB`` apart, consonants and rests; one of ``voices.MODELS`` sings it. ``truth_hz`` is the pitch that
the singer meant at each 5 ms, jitter left out, 0 where there is no voice. Nothing here is shared with the program's own singer.

Vibrato: Prame (1994), JASA 96(4), rates and extents from memory; the rest our own.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from voices import CONTROL_HZ, MODELS, RATE_HZ, Sung

GRID_SECONDS = 0.005
REGISTERS = {"bass": (38, 62), "tenor": (48, 67), "alto": (53, 74), "soprano": (60, 84)}  # MIDI notes
VOWELS = ("i", "e", "a", "o", "u")
VOICED_CONSONANTS_DB = {"l": -6.0, "m": -10.0, "n": -9.0}
NOISES_HZ = {"s": (4500, 9000), "sh": (1800, 5500), "t": (2500, 8000)}
LEVELS_DB = (0.0, -1.0, -2.5, -5.0, -16.0)


@dataclass(frozen=True, slots=True, eq=False)
class Note:
    """One note as drawn: its time, its pitch, and where its vowel's first sample lies; ``joined`` to the one before it."""

    start_s: float
    end_s: float
    midi: float
    vowel_s: float
    joined: bool


@dataclass(frozen=True, slots=True, eq=False)
class Phrase:
    """``sound`` float64 (n,) at RATE_HZ; ``truth_hz`` each GRID_SECONDS."""

    register: str
    seed: int
    model: str
    sound: np.ndarray
    truth_hz: np.ndarray
    notes: tuple[Note, ...]


def sing(register: str, seed: int, model: str, seconds: float) -> Phrase:
    """One phrase of one register by one voice."""
    rng = np.random.default_rng((seed, sorted(REGISTERS).index(register), sorted(MODELS).index(model)))
    count = round(seconds * CONTROL_HZ)
    midi, gain_db = np.full(count, np.nan), np.full(count, -200.0)
    shapes: list[tuple[int, str]] = [(0, "a")]
    noises: list[tuple[float, float, str, float]] = []
    notes: list[Note] = []
    before = None
    for start, end, pitch, joined in _score(rng, register, seconds):
        low, high = round(start * CONTROL_HZ), min(round(end * CONTROL_HZ), count)
        t = np.arange(high - low) / CONTROL_HZ
        level = rng.choice(LEVELS_DB)
        vowel, kind = str(rng.choice(VOWELS)), str(rng.choice(["", "l", "m", "n", "s", "t", "sh"]))
        midi[low:high] = _pitch(rng, t, pitch, before if joined else None, end - start)
        gain_db[low:high] = level + _swell_db(rng, t, end - start, joined)
        length = 0.05 + 0.06 * rng.random()
        vowel_s = start
        if kind in VOICED_CONSONANTS_DB:
            to = min(low + round(length * CONTROL_HZ), high)
            gain_db[low:to] += VOICED_CONSONANTS_DB[kind]
            shapes.append((low, kind))
            shapes.append((to, vowel))
            vowel_s = to / CONTROL_HZ
        else:
            shapes.append((low, vowel))
            if kind and not joined:
                noises.append((max(start - length, 0.0), start, kind, level - 18.0))
        notes.append(Note(start, end, pitch, vowel_s, joined))
        before = pitch
    voiced = np.isfinite(midi) & (gain_db > -60.0)
    f0 = 440.0 * 2.0 ** ((_filled(midi) - 69.0) / 12.0)
    wide = 1.0 if register in ("bass", "tenor") else 1.15
    sound = MODELS[model](rng, Sung(f0, gain_db, tuple(shapes), wide))
    sound *= 0.5 / np.abs(sound).max()
    for begin, end, kind, level in noises:
        _add_noise(rng, sound, begin, end, kind, level)
    grid = np.arange(int(seconds / GRID_SECONDS)) * GRID_SECONDS
    at = np.minimum(np.round(grid * CONTROL_HZ).astype(int), count - 1)
    truth = np.where(voiced[at], np.interp(grid, np.arange(count) / CONTROL_HZ, f0), 0.0)
    return Phrase(register, seed, model, sound * 0.8, truth, tuple(notes))


def _score(rng, register: str, seconds: float) -> list[tuple[float, float, float, bool]]:
    low, high = REGISTERS[register]
    now, pitch, notes, joined = 0.3, int(rng.integers(low + 2, high - 1)), [], False
    while True:
        length = float(rng.choice([0.25, 0.4, 0.6, 0.9, 1.3]))
        if now + length > seconds - 0.3:
            return notes
        notes.append((now, now + length, pitch + 0.15 * rng.standard_normal(), joined))
        now += length
        joined = bool(rng.random() < 0.55)
        if not joined:
            now += float(rng.choice([0.12, 0.2, 0.45]))
        pitch += int(rng.choice([-12, -7, -5, -4, -3, -2, -2, -1, -1, 0, 1, 1, 2, 2, 3, 4, 5, 7, 12]))
        while not low <= pitch <= high:
            pitch += 12 if pitch < low else -12


def _pitch(rng, t, pitch: float, before: float | None, length: float) -> np.ndarray:
    """MIDI pitch over a note's own time: scoop or portamento in, then vibrato growing, and a slow flutter."""
    extent = float(rng.choice([0.0, 10.0, 25.0, 45.0, 70.0]))
    rate, glide = rng.uniform(4.8, 6.6), rng.uniform(0.05, 0.12)
    start = before if before is not None else pitch - rng.choice([0.0, 0.0, 0.5, 1.0, 2.0])
    base = start + (pitch - start) * 0.5 * (1 - np.cos(np.pi * np.clip(t / glide, 0.0, 1.0)))
    phases = rng.uniform(0, 2 * np.pi, 4)
    vibrato = extent / 100 * np.clip((t - 0.15) / 0.25, 0.0, 1.0) * np.sin(2 * np.pi * rate * t + phases[3])
    slow = 0.03 * sum(np.sin(2 * np.pi * hz * t + p) for hz, p in zip((0.7, 1.9, 3.1), phases[:3], strict=True))
    return base + vibrato + slow * min(1.0, length)


def _swell_db(rng, t, length: float, joined: bool) -> np.ndarray:
    ramp, fade = 0.02 + 0.04 * rng.random(), 0.02 if length < 0.2 else 0.06
    up = np.ones_like(t) if joined else np.clip(t / ramp, 1e-4, 1.0)
    down = np.clip((length - t) / fade, 1e-4, 1.0)
    return 20.0 * np.log10(up * down) + 1.5 * np.sin(2 * np.pi * 1.3 * t)


def _filled(values: np.ndarray) -> np.ndarray:
    at = np.flatnonzero(np.isfinite(values))
    return np.interp(np.arange(len(values)), at, values[at])


def _add_noise(rng, sound, begin_s, end_s, kind, level_db) -> None:
    low, high = int(begin_s * RATE_HZ), int(end_s * RATE_HZ)
    spectrum = np.fft.rfft(rng.standard_normal(high - low))
    f_hz = np.fft.rfftfreq(high - low, 1 / RATE_HZ)
    bottom, top = NOISES_HZ[kind]
    noise = np.fft.irfft(
        spectrum * np.exp(-0.5 * ((f_hz - (bottom + top) / 2) / ((top - bottom) / 2)) ** 2), high - low
    )
    shape = np.sin(np.pi * np.arange(len(noise)) / len(noise))
    if kind == "t":
        shape = np.where(np.arange(len(noise)) > 0.7 * len(noise), shape, 0.0)
    sound[low:high] += 0.2 * noise * shape * 10 ** (level_db / 20)
