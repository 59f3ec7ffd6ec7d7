"""Sounds to learn combs from: the bench's voices through random equalisers, noises and rooms, and tones of few harmonics.

Seeds are far from those of every set; nothing of a report set is looked at.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from conditions import CONDITIONS
from sung import GRID_SECONDS, REGISTERS, Phrase, sing
from voices import CONTROL_HZ, MODELS, RATE_HZ, Sung

PHRASE_SECONDS = 8.0
SEEDS = range(201, 207)
THIN_SEEDS, LOW_SEEDS = range(111, 122), range(131, 133)
NOISE_SLOPES = {"white": 0.0, "pink": 0.5, "brown": 1.0}
SPECTRA = (
    {1: 1.0},
    {1: 1.0, 2: 0.03},
    dict.fromkeys(range(2, 7), 1.0),
    {1: 0.03} | {n: 2 / n for n in range(2, 11)},
    {n: 1 / n for n in range(1, 12, 2)},
    dict.fromkeys((1, 3, 5, 7, 9), 1.0),
    {1: 1.0, 3: 1.0},
    {1: 1.0, 3: 0.1},
    {1: 0.3, 2: 1.0},
    dict.fromkeys(range(1, 13), 1.0),
    {n: n**-5.0 for n in range(1, 13)},
)
WITHOUT_THE_LOWEST = tuple({n: 1 / n for n in range(first, 18)} for first in (2, 3, 4))

PAIR_SEEDS = range(101, 149)
BESIDE = tuple(
    n for n in range(-24, 17) if n not in (-24, -19, -12, 0)
)  # semitones; the others' harmonics are the singer's, too

Heard = tuple[np.ndarray, np.ndarray]
"""A sound at RATE_HZ, and its pitch each GRID_SECONDS, 0 where there is none."""


def sung() -> Iterator[tuple[str, Heard]]:
    """Phrases in the conditions of the bench, and "anywhere": as other microphones, rooms and noises would have them."""
    for phrase in _phrases(SEEDS):
        name = sum(map(ord, phrase.register + phrase.model))
        for condition, around in CONDITIONS.items():
            rng = np.random.default_rng((phrase.seed, name + sum(map(ord, condition)), 78))
            yield condition, (around(phrase, rng).mic, phrase.truth_hz)
        yield "anywhere", (_anywhere(phrase, np.random.default_rng((phrase.seed, name, 79))), phrase.truth_hz)


def _anywhere(phrase: Phrase, rng) -> np.ndarray:
    sound = _coloured(phrase.sound, rng)
    if rng.random() < 0.35:
        sound = _in_a_room(sound, rng, float(rng.choice([0.3, 0.5, 0.8, 1.2, 1.6, 2.2])))
    if rng.random() < 0.8:
        noise = _noise(len(sound), rng, NOISE_SLOPES[str(rng.choice(["pink", "pink", "white", "brown"]))])
        voiced = np.repeat(phrase.truth_hz > 0, -(-len(sound) // len(phrase.truth_hz)))[: len(sound)]
        snr_db = rng.uniform(-3, 22)
        sound = sound + noise * np.sqrt((sound[voiced] ** 2).mean()) * 10 ** (-snr_db / 20)
    return sound * 10 ** (rng.uniform(-25, 0) / 20)


def thin_tones() -> Iterator[Heard]:
    """Steady tones of few harmonics, through telephones, without the lowest; from C2 to C6."""
    telephones = [dict.fromkeys(range(1, 60), 1.0), {n: 1 / n for n in range(1, 60)}]
    for seed in THIN_SEEDS:
        for part in range(3):
            yield _tones(np.random.default_rng((seed, part, 80)), [*SPECTRA, *WITHOUT_THE_LOWEST], telephones, (36, 84))


def low_tones() -> Iterator[Heard]:
    """Low ones without their lowest harmonics."""
    for seed in LOW_SEEDS:
        for part in range(2):
            yield _tones(np.random.default_rng((seed, part, 81)), list(WITHOUT_THE_LOWEST), [], (38, 60))


def pairs() -> Iterator[Heard]:
    """Voices with another one 12 to 25 dB softer in the same microphone; the louder is the one to follow."""
    for seed in PAIR_SEEDS:
        rng = np.random.default_rng((seed, 91))
        midi = rng.uniform(55, 79)
        beside = [n for n in BESIDE if 38 <= midi + n <= 82]
        loud, soft = (_vowel(rng, at) for at in (midi, midi + rng.choice(beside) + 0.15 * rng.standard_normal()))
        sound = 0.08 * (loud + 10 ** (-rng.uniform(12, 25) / 20) * soft)
        truth = np.full(int(len(sound) / RATE_HZ / GRID_SECONDS), 440 * 2 ** ((midi - 69) / 12))
        truth[:15] = truth[-15:] = 0
        yield sound + 10 ** (rng.choice([-90.0, -65.0, -50.0]) / 20) * rng.standard_normal(len(sound)), truth


def _vowel(rng, midi: float) -> np.ndarray:
    """A second of one of the bench's voices, of power 1."""
    model, vowel, wide = str(rng.choice(sorted(MODELS))), str(rng.choice(list("ieaou"))), 1.0 if midi < 60 else 1.15
    steady = Sung(np.full(CONTROL_HZ, 440 * 2 ** ((midi - 69) / 12)), np.zeros(CONTROL_HZ), ((0, vowel),), wide)
    sound = MODELS[model](rng, steady)
    return sound / np.sqrt((sound**2).mean())


def _phrases(seeds) -> Iterator[Phrase]:
    for seed in seeds:
        for register in REGISTERS:
            for model in sorted(MODELS):
                yield sing(register, seed, model, PHRASE_SECONDS)


def _coloured(sound, rng):
    """Through a random equaliser of up to 12 dB; one of ten through a telephone."""
    f_hz = np.fft.rfftfreq(len(sound), 1 / RATE_HZ)
    gain_db = np.cumsum(rng.normal(0, 3, 12))
    gain_db = np.interp(
        np.log2(np.maximum(f_hz, 20) / 20), np.linspace(0, 10.1, 12), np.clip(gain_db - gain_db.mean(), -12, 12)
    )
    if rng.random() < 0.1:
        gain_db = gain_db + np.where((f_hz < 300) | (f_hz > 3400), -60, 0)
    return np.fft.irfft(np.fft.rfft(sound) * 10 ** (gain_db / 20), len(sound))


def _in_a_room(sound, rng, rt60_s: float):
    t = np.arange(int(1.2 * rt60_s * RATE_HZ)) / RATE_HZ
    tail = rng.standard_normal(len(t)) * 10 ** (-3 * t / rt60_s) * (t > rng.uniform(0.002, 0.012))
    tail *= 10 ** (-rng.uniform(-8, 6) / 20) / np.sqrt((tail**2).sum())
    tail[0] = 1.0
    size = 1 << int(np.ceil(np.log2(len(sound) + len(t))))
    return np.fft.irfft(np.fft.rfft(sound, size) * np.fft.rfft(tail, size), size)[: len(sound)]


def _noise(count: int, rng, slope: float):
    """Of power 1, its spectrum falling as frequency to the ``slope``."""
    f_hz = np.fft.rfftfreq(count, 1 / RATE_HZ)
    noise = np.fft.irfft(np.fft.rfft(rng.standard_normal(count)) / np.maximum(f_hz, 30) ** slope, count)
    return noise / np.sqrt((noise**2).mean())


def _tones(rng, spectra, telephones, midi_range) -> Heard:
    count = int(PHRASE_SECONDS * RATE_HZ)
    sound, truth = np.zeros(count), np.zeros(int(PHRASE_SECONDS / GRID_SECONDS))
    grid, now = np.arange(len(truth)) * GRID_SECONDS, 0.2
    while now < PHRASE_SECONDS - 0.7:
        f0_hz, length = 440 * 2 ** ((rng.uniform(*midi_range) - 69) / 12), rng.uniform(0.25, 0.5)
        which = int(rng.integers(len(spectra) + len(telephones)))
        amplitudes = spectra[which] if which < len(spectra) else telephones[which - len(spectra)]
        if which >= len(spectra):
            amplitudes = {n: a for n, a in amplitudes.items() if 300 <= n * f0_hz <= 3400}
        elif (f0_hz > 260 and min(amplitudes) > 2) or (f0_hz < 92 and len(amplitudes) == 2):
            amplitudes = {n: 1 / n for n in range(1, 10)}  # what nobody could tell apart
        t = np.arange(int(length * RATE_HZ)) / RATE_HZ
        tone = sum(
            a * np.cos(2 * np.pi * n * f0_hz * t + rng.uniform(0, 2 * np.pi))
            for n, a in amplitudes.items()
            if n * f0_hz < 11_000
        )
        tone *= 10 ** (rng.uniform(-50, -15) / 20) / np.sqrt((tone**2).mean())
        begin = int(now * RATE_HZ)
        sound[begin : begin + len(t)] += tone * np.clip(np.minimum(t, length - t) / 0.02, 0, 1)
        truth[(grid >= now + 0.005) & (grid < now + length - 0.005)] = f0_hz
        now += length + rng.choice([0.02, 0.1, 0.3])
    return sound + 10 ** (rng.uniform(-100, -60) / 20) * rng.standard_normal(count), truth
