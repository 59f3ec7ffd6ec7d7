"""A source-filter singer for tests: a glottal pulse through five formants, with what throats do besides.

Shares no code with the project: it is the outside truth for exact tests. Everything comes from the seed.

Sources, from memory: vowel formants after Peterson & Barney (1952), means of men and women; the pulse after Rosenberg (1971), shape C;
vibrato 5.5 to 8 Hz and up to a semitone or more each way in soloists (reviewed by Timmers & Desain 2000), about 5 Hz in choirs; a pitch
moves for about 120 ms at both ends of a sung note (Dai & Dixon 2019); the beat is the vowel's onset (Sundberg & Bauer-Huppmann 2007).
Jitter of a steady voice up to 1 % cycle to cycle, slow flutter of 5 to 10 cents.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from rooms import at_level, pink
from scipy.fft import irfft, rfft
from scipy.signal import lfilter, sosfilt
from slips import Performance

Sound = NDArray[np.float64]
CONTROL_HZ = 1000
"""Contours of pitch and loudness are drawn at a point a millisecond."""

FORMANTS_HZ = {
    "men": {"a": (730, 1090, 2440), "e": (530, 1840, 2480), "i": (270, 2290, 3010), "o": (570, 840, 2410), "u": (300, 870, 2240)},
    "children": {"a": (1030, 1370, 3170), "e": (690, 2610, 3570), "i": (370, 3200, 3730), "o": (680, 1060, 3180), "u": (430, 1170, 3260)},
    "closed mouths": dict.fromkeys("aeiou", (250, 1000, 2200)),
    "women": {"a": (850, 1220, 2810), "e": (610, 2330, 2990), "i": (310, 2790, 3310), "o": (590, 920, 2710), "u": (370, 950, 2670)},
}  # fmt: skip
HIGHER_HZ = {"men": (3400, 4300), "women": (3900, 4900), "children": (4600, 5600), "closed mouths": (3000, 4000)}
BANDWIDTHS_HZ = (70, 90, 120, 170, 220)
CONSONANTS = ("l", "m", "d", "t", "s")
VOICED = {"": (0, -120.0), "l": (60, -7.0), "m": (80, -10.0), "d": (45, -22.0)}
"""Length in ms before the vowel and level against it in dB."""
VOICELESS_MS = {"t": 55, "s": 90}


@dataclass(frozen=True, slots=True)
class Throat:
    """Whose voice it is.

    Parameters
    ----------
    sex : str
        "men", "women", "children" or "closed mouths": which formants.
    vowels : str
        One is drawn for each note.
    vibrato_cents, vibrato_hz : float
        Half the swing, and the rate.
    scatter_cents : float
        SD of a singer's own random error a note; part of the truth.
    flutter_cents : float
        SD of the slow wandering within notes.
    jitter : float
        SD of a cycle's length, as a share.
    breathiness_db : float
        Noise of the breath under the tone.
    room_dbfs : float
        Pink noise of a quiet room.
    legato : float
        Share of notes of changing pitch that are joined without a consonant.
    consonants : tuple of str
        One is drawn for each note that is not joined.
    pulse : (float, float)
        Shares of a cycle in which the glottis opens and closes.
    tilt_hz : float
        Above this the source loses another 12 dB an octave; 0 for none.
    source : str
        "glottis" or "lips": sung or whistled.
    """

    sex: str = "men"
    vowels: str = "aeo"
    vibrato_cents: float = 25.0
    vibrato_hz: float = 5.4
    scatter_cents: float = 0.0
    flutter_cents: float = 4.0
    jitter: float = 0.003
    breathiness_db: float = -26.0
    room_dbfs: float = -66.0
    legato: float = 0.3
    consonants: tuple[str, ...] = CONSONANTS
    pulse: tuple[float, float] = (0.40, 0.16)
    tilt_hz: float = 0.0
    source: str = "glottis"


@dataclass(frozen=True, slots=True, eq=False)
class Take:
    """What was sung, and what is true of it.

    Parameters
    ----------
    samples : float64 array, shape (n,), in [-1, 1]
    rate_hz : int
    true_midi : dict from note index to float
        Mean pitch over the steady part of each note, vibrato left out, flutter and scatter included.
    """

    samples: Sound
    rate_hz: int
    true_midi: dict[int, float]


def sing(
    performance: Performance,
    *,
    seed: int,
    seconds: float,
    throat: Throat = Throat(),
    rate_hz: int = 48_000,
    level_dbfs: float = -22.0,
) -> Take:
    """The performance as sound, *seconds* long."""
    rng = np.random.default_rng(seed)
    points = int(seconds * CONTROL_HZ) + 1
    midi, gain_db, hiss_db, truth = _contours(performance, throat, rng, points)
    frames = int(seconds * rate_hz)
    at = np.arange(frames) / rate_hz * CONTROL_HZ
    axis = np.arange(points)
    f0_hz = 440.0 * 2 ** ((np.interp(at, axis, midi) - 69) / 12)
    cycles = np.cumsum(f0_hz) / rate_hz
    voice = SOURCES[throat.source](cycles, performance, throat, rng, rate_hz, f0_hz)
    gains_db = np.interp(at, axis, gain_db)
    voice = at_level(voice, 0.0) * 10 ** (gains_db / 20)
    hiss = np.diff(rng.standard_normal(frames + 1)) * 0.5 * 10 ** (np.interp(at, axis, hiss_db) / 20)
    sounding = gains_db > -30
    loudness = float(np.sqrt(np.mean(voice[sounding] ** 2))) if sounding.any() else 1.0
    sung = (voice + hiss) * 10 ** (level_dbfs / 20) / loudness
    room = pink(frames, rate_hz, seed=seed + 1, dbfs=throat.room_dbfs)
    return Take(np.clip(sung + room, -1.0, 1.0), rate_hz, truth)


def _from_glottis(
    cycles: Sound, performance: Performance, throat: Throat, rng: np.random.Generator, rate_hz: int, f0_hz: Sound
) -> Sound:
    """Pulses and breath through the vowels."""
    flow = _pulse(cycles - np.floor(cycles), *throat.pulse)  # as % 1.0 to the last bit, at a fifth of its price
    tone = np.diff(flow, prepend=flow[:1])
    if throat.tilt_hz:
        pole = np.exp(-2 * np.pi * throat.tilt_hz / rate_hz)
        tone = lfilter([(1 - pole) ** 2], [1, -2 * pole, pole**2], tone)
    breath = rng.standard_normal(len(tone)) * (0.3 + flow)
    breath *= np.std(tone) / np.std(breath) * 10 ** (throat.breathiness_db / 20) * 3
    return _through_vowels(tone + breath, performance, throat, rng, rate_hz, f0_hz)


def _from_lips(
    cycles: Sound, performance: Performance, throat: Throat, rng: np.random.Generator, rate_hz: int, f0_hz: Sound
) -> Sound:
    """A whistle: nearly a sine, with a little of its octave and of the breath."""
    tone = np.sin(2 * np.pi * cycles) + 0.02 * np.sin(4 * np.pi * cycles)
    return np.asarray(tone + rng.standard_normal(len(tone)) * 10 ** (throat.breathiness_db / 20) / 3)


SOURCES = {"glottis": _from_glottis, "lips": _from_lips}


def _pulse(phase: Sound, opening: float, closing: float) -> Sound:
    """Glottal flow over one cycle, phase in [0, 1)."""
    flow = np.zeros(len(phase))
    rising = phase < opening
    flow[rising] = 0.5 * (1 - np.cos(np.pi * phase[rising] / opening))
    falling = ~rising & (phase < opening + closing)
    flow[falling] = np.cos(np.pi / 2 * (phase[falling] - opening) / closing)
    return flow


def _contours(
    performance: Performance, throat: Throat, rng: np.random.Generator, points: int
) -> tuple[Sound, Sound, Sound, dict[int, float]]:
    """Pitch in MIDI numbers, loudness of the voice and of the consonants' hiss in dB, each (points,), and the truth."""
    midi = np.full(points, 60.0)
    gain_db = np.full(points, -120.0)
    hiss_db = np.full(points, -120.0)
    centre = np.full(points, 60.0)
    vibrato_depth = np.zeros(points)
    own_until: dict[int, int] = {}  # where a slide or a consonant takes up the next note's pitch
    for k, note in enumerate(performance):
        begin, end = round(note.start_s * CONTROL_HZ), round(note.end_s * CONTROL_HZ)
        pitch = note.midi + rng.normal(0, throat.scatter_cents) / 100
        before = performance[k - 1] if k else None
        joined = before is not None and note.start_s - before.end_s < 0.03
        smooth = joined and before is not None and before.midi != note.midi and rng.random() < throat.legato
        consonant = "" if smooth else str(rng.choice(throat.consonants))
        lead = 0 if smooth else VOICED[consonant][0] if consonant in VOICED else VOICELESS_MS[consonant]
        start = max(begin - (40 if smooth else lead), 0)
        if before is not None:
            own_until[before.index] = start
        centre[start:] = pitch
        if smooth and before is not None:  # the slide is half-way at the beat
            slide = 1 / (1 + np.exp(-np.linspace(-5, 5, 80)))
            stretch = slice(start, min(start + 80, points))
            centre[stretch] = (before.midi + (pitch - before.midi) * slide)[: stretch.stop - start]
        if note.scoop_cents:
            way = np.arange(max(points - begin, 0))
            centre[begin:] += note.scoop_cents / 100 * np.exp(-way / 45.0)
        swell_db = float(rng.uniform(-3, 0)) + note.gain_db
        _loudness(gain_db, hiss_db, begin, end, consonant, joined=joined, swell_db=swell_db)
        length = min(end, points) - begin
        if length > 0:
            ramp = np.clip((np.arange(length) - 150) / 250.0, 0.0, 1.0)
            vibrato_depth[begin : begin + length] = ramp * throat.vibrato_cents * rng.uniform(0.7, 1.0)
    flutter = _slow_noise(rng, points, throat.flutter_cents)
    swing = _slow_noise(rng, points, 0.12) + throat.vibrato_hz
    wave = np.sin(2 * np.pi * np.cumsum(swing) / CONTROL_HZ + rng.uniform(0, 6.28))
    cycle_noise = rng.standard_normal(points) * throat.jitter * 12 / np.log(2)
    midi = centre + (flutter + vibrato_depth * wave) / 100 + cycle_noise
    truth = {}
    for note in performance:
        begin, end = round(note.start_s * CONTROL_HZ), round(note.end_s * CONTROL_HZ)
        cut = min(120, (end - begin) // 4)
        until = max(min(end - cut, own_until.get(note.index, end)), begin + cut + 1)
        truth[note.index] = float(np.mean((centre + flutter / 100)[begin + cut : until]))
    return midi, gain_db, hiss_db, truth


def _loudness(
    gain_db: Sound, hiss_db: Sound, begin: int, end: int, consonant: str, *, joined: bool, swell_db: float
) -> None:
    """Writes one note's loudness into the two contours."""
    points = len(gain_db)
    end = min(end, points)
    if end <= begin:
        return
    level = swell_db + 2.0 * np.sin(np.linspace(0, np.pi, end - begin))
    attack = np.clip(np.arange(end - begin) / 25.0, 0, 1)
    release = np.clip(np.arange(end - begin)[::-1] / 40.0, 0, 1)
    level = level + 40 * (np.minimum(attack, 1) - 1) * (0.15 if joined else 1.0) + 40 * (release - 1) * 0.6
    gain_db[begin:end] = level
    if consonant in VOICED:
        lead, below = VOICED[consonant]
        gain_db[max(begin - lead, 0) : begin] = swell_db + below
        gain_db[begin : begin + 25] = np.maximum(gain_db[begin : begin + 25], swell_db + below)[: max(end - begin, 0)]
    elif consonant in VOICELESS_MS:
        lead = VOICELESS_MS[consonant]
        gain_db[max(begin - lead, 0) : begin] = -120.0
        burst = 60 if consonant == "s" else 18
        hiss_db[max(begin - burst - 5, 0) : max(begin - 5, 0)] = swell_db - 14.0


def _slow_noise(rng: np.random.Generator, points: int, sd: float) -> Sound:
    """Noise below about 3 Hz."""
    if sd == 0:
        return np.zeros(points)
    spectrum = rfft(rng.standard_normal(points))
    hz = np.fft.rfftfreq(points, 1 / CONTROL_HZ)
    slow = irfft(spectrum / (1 + (hz / 1.5) ** 4), points)
    return np.asarray(slow * sd / max(float(np.std(slow)), 1e-12))


def _through_vowels(
    source: Sound, performance: Performance, throat: Throat, rng: np.random.Generator, rate_hz: int, f0_hz: Sound
) -> Sound:
    """The source through each note's vowel, cross-faded over 40 ms; the first formant follows a pitch above it."""
    frames = len(source)
    edges = [round(note.start_s * rate_hz) for note in performance] or [0]
    half, warm = int(0.02 * rate_hz), int(0.06 * rate_hz)
    rising = np.cumsum(np.hanning(2 * half))
    rising /= rising[-1]
    total = np.zeros(frames)
    for k, begin in enumerate(edges):
        vowel = str(rng.choice(list(throat.vowels)))
        low, second, third = FORMANTS_HZ[throat.sex][vowel]
        here_hz = float(f0_hz[min(begin + rate_hz // 5, frames - 1)])
        tuned = (max(low, round(1.05 * here_hz / 50) * 50), max(second, 1.3 * here_hz), third, *HIGHER_HZ[throat.sex])
        first = 0 if k == 0 else max(begin - half, 0)
        last = frames if k + 1 == len(edges) else min(edges[k + 1] + half, frames)
        if last - first <= 2 * half:
            continue
        warmed = max(first - warm, 0)  # the resonances ring before the sound is used
        resonances = []
        for centre_hz, width_hz in zip(tuned, BANDWIDTHS_HZ, strict=True):
            r = np.exp(-np.pi * width_hz / rate_hz)
            a1, a2 = -2 * r * np.cos(2 * np.pi * centre_hz / rate_hz), r * r
            resonances.append((1 + a1 + a2, 0, 0, 1, a1, a2))
        sound = at_level(sosfilt(resonances, source[warmed:last])[first - warmed :], 0.0)
        if k:
            sound[: 2 * half] *= rising
        if k + 1 < len(edges):
            sound[-2 * half :] *= 1 - rising
        total[first:last] += sound
    return total
