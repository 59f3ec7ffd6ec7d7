"""A singer that nobody here wrote: espeak-ng says "la", Praat's overlap-add puts it on an exact pitch and length.

espeak-ng (Debian) is a speech synthesiser, praat-parselmouth (a test dependency, GPL, never at run time) the phonetician's standard
program as a library. The pitch contour handed to Praat is the truth; ``true_hz`` of the tests asks Praat itself whether it came out.
"""

from __future__ import annotations

import subprocess
import tempfile
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import parselmouth
from numpy.typing import NDArray
from parselmouth.praat import call, run
from rooms import at_level, pink
from slips import Performance, SungNote

Sound = NDArray[np.float64]
RATE_HZ = 48_000
VOICES = {"soprano": "en+f3", "alto": "en+f2", "tenor": "en+m3", "bass": "en+m7"}
"""espeak-ng's own variants; which is which is our choice."""

SEED = 1
"""Of Praat's random numbers, by which it lengthens what has no voice; from a fresh start no two runs are alike."""

CONSONANT_S = 0.06
"""The spoken l is slow, 0.2 s; sung voiced consonants are a half to a quarter of spoken ones (Scotto di Carlo 2007)."""


def sing(
    performance: Performance,
    *,
    voice: str,
    seconds: float,
    seed: int = 1,
    vibrato_cents: float = 0.0,
    vibrato_hz: float = 5.5,
    level_dbfs: float = -22.0,
) -> Sound:
    """The performance as samples at 48 kHz, *seconds* long, in a quiet room."""
    total = np.zeros(int(seconds * RATE_HZ))
    for k, sung in enumerate(performance):
        # the next consonant ends this vowel: it stands before its own beat
        stop_s = performance[k + 1].start_s - CONSONANT_S if k + 1 < len(performance) else seconds
        note = replace(sung, end_s=max(min(sung.end_s, stop_s), sung.start_s + 0.05))
        syllable = _syllable(note, VOICES[voice], vibrato_cents, vibrato_hz)
        begin = max(round((note.start_s - CONSONANT_S) * RATE_HZ), 0)
        end = min(begin + len(syllable), len(total))
        total[begin:end] += syllable[: end - begin]
    awake = np.abs(total) > 1e-4
    if awake.any():
        total *= 10 ** (level_dbfs / 20) / np.sqrt(np.mean(total[awake] ** 2))
    return np.clip(total + pink(len(total), RATE_HZ, seed=seed, dbfs=-66.0), -1.0, 1.0)


@cache
def _spoken(variant: str) -> tuple[parselmouth.Sound, float]:
    """One "la" of a voice, and where in it the vowel begins, seconds."""
    _seeded()
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder) / "la.wav"
        # slow and on one note: a long clean vowel leaves less to stretch
        subprocess.run(
            ["espeak-ng", "-v", variant, "-s", "80", "-p", "45", "-w", str(place), "[[l'A::]]"],
            check=True,
            capture_output=True,
        )
        sound = parselmouth.Sound(str(place)).resample(RATE_HZ)
    values = np.abs(sound.values[0])
    smooth = np.convolve(values, np.ones(480) / 480, "same")
    awake = np.flatnonzero(smooth > 0.05 * smooth.max())
    cut = sound.extract_part(from_time=awake[0] / RATE_HZ, to_time=awake[-1] / RATE_HZ)
    inside = smooth[awake[0] : awake[-1]]
    vowel_s = int(np.argmax(inside > 0.5 * inside.max())) / RATE_HZ
    # overlap-add stretches a stretch of sound by 4 at most, so a long note needs a long vowel to begin with
    hand = call(cut, "To Manipulation", 0.005, 60, 500)
    call([hand, _durations(cut.duration, vowel_s, 1.0, 3.0)], "Replace duration tier")
    return call(hand, "Get resynthesis (overlap-add)"), vowel_s


def _seeded() -> None:
    """Whatever was sung before, the same note is the same sound."""
    run(f"random_initializeWithSeedUnsafelyButPredictably ({SEED})")


def _durations(duration_s: float, vowel_s: float, consonant: float, vowel: float) -> parselmouth.Data:
    """How much longer the consonant and the vowel become."""
    tier = call("Create DurationTier", "stretch", 0.0, duration_s)
    for t, factor in ((0.0, consonant), (vowel_s, consonant), (vowel_s + 1e-4, vowel), (duration_s, vowel)):
        call(tier, "Add point", t, factor)
    return tier


@cache
def _hand(variant: str) -> parselmouth.Data:
    """Praat's hold on that "la", whose pitch and lengths are set anew for every note."""
    return call(_spoken(variant)[0], "To Manipulation", 0.005, 60, 500)


@cache
def _syllable(note: SungNote, variant: str, vibrato_cents: float, vibrato_hz: float) -> Sound:
    """One sung syllable, its consonant first."""
    _seeded()
    spoken, vowel_s = _spoken(variant)
    length_s = note.end_s - note.start_s
    short = CONSONANT_S / vowel_s
    factor = length_s / (spoken.duration - vowel_s)
    hand = _hand(variant)
    tier = call("Create PitchTier", "line", 0.0, spoken.duration)
    moves = vibrato_cents != 0 or note.scoop_cents != 0
    for t in np.arange(0.0, spoken.duration, 0.004 / max(factor, 1.0)) if moves else (0.0,):
        sung_s = max(t - vowel_s, 0.0) * factor  # time after the vowel's onset as it will be sung
        depth = vibrato_cents * min(max((sung_s - 0.15) / 0.25, 0.0), 1.0)
        cents = depth * np.sin(2 * np.pi * vibrato_hz * sung_s) + note.scoop_cents * np.exp(-sung_s / 0.045)
        call(tier, "Add point", float(t), 440.0 * 2 ** ((note.midi + cents / 100 - 69) / 12))
    call([hand, tier], "Replace pitch tier")
    call([hand, _durations(spoken.duration, vowel_s, short, factor)], "Replace duration tier")
    sound = np.array(call(hand, "Get resynthesis (overlap-add)").values[0])
    wanted = round((CONSONANT_S + length_s) * RATE_HZ)
    sound = np.pad(sound, (0, max(wanted - len(sound), 0)))[:wanted]
    edge = int(0.03 * RATE_HZ)
    sound[-edge:] *= np.linspace(1, 0, edge)
    sound[: edge // 3] *= np.linspace(0, 1, edge // 3)
    return at_level(sound, -20.0)
