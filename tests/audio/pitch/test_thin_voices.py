"""Voices with few harmonics, or without their lowest: whistles, hums, telephones, squares, at their own octave and cent.

The band of a telephone, 300 to 3400 Hz: ITU-T G.712 (from memory). The spectra are drawn here, each with a known pitch.
"""

from __future__ import annotations

import numpy as np
import pytest

from audio.block import Block
from audio.pitch.comb import CombTracker
from audio.units import RATE_HZ

INPUT_HZ = 44_100
NOTE_SECONDS = 0.5
NOTES_MIDI = [36, 39, 42, 45, 48, 54, 60, 66, 72, 75, 81, 84]
LOW_MIDI = [40, 42, 45, 47, 48, 53, 58, 60]  # E2 up: the lowest voices


def hertz(midi):
    return 440 * 2 ** ((midi - 69) / 12)


def note(f0_hz, amplitudes, level_db=-20.0, seconds=NOTE_SECONDS):
    """Harmonics {number: amplitude} with edges of 20 ms; mean square at ``level_db``."""
    t = np.arange(int(seconds * INPUT_HZ)) / INPUT_HZ
    sound = sum(a * np.cos(2 * np.pi * n * f0_hz * t + 1.7 * n * n) for n, a in amplitudes.items())
    edge = np.clip(np.minimum(t, seconds - t) / 0.02, 0, 1)
    return sound * 10 ** (level_db / 20) / np.sqrt((sound**2).mean()) * (0.5 - 0.5 * np.cos(np.pi * edge))


def silence(seconds):
    return np.zeros(int(seconds * INPUT_HZ))


def heard(sound, cuts=()):
    """Frames as (seconds, cents, voiced) arrays."""
    samples = np.asarray(sound, dtype=np.float32)[:, None]
    tracker, out = CombTracker(), []
    for begin, end in zip([0, *cuts], [*cuts, len(samples)], strict=True):
        out += tracker.feed(Block(samples[begin:end].copy(), ("mic1",), begin, INPUT_HZ))
    return out + tracker.flush()


def steady_errors(sound, f0_hz, from_seconds, to_seconds):
    """Errors in cents of the frames between, all of which must be voiced."""
    inner = [f for f in heard(sound) if from_seconds < f.centre_frame / RATE_HZ < to_seconds]
    assert np.mean([f.voiced for f in inner]) > 0.98
    return np.array([f.f0_c100 for f in inner]) / 100 - (6900 + 1200 * np.log2(f0_hz / 440))


def same_octave(amplitudes, f0_hz, noise=0.0):
    """Share of steady frames within 50 cents, the note alone between digital silences."""
    sound = np.concatenate((silence(0.4), note(f0_hz, amplitudes), silence(0.2)))
    sound += noise * np.random.default_rng(3).normal(size=len(sound))
    return np.mean(np.abs(steady_errors(sound, f0_hz, 0.4 + 0.1, 0.4 + NOTE_SECONDS - 0.08)) < 50)


def telephone(f0_hz, tilt):
    return {n: n**-tilt for n in range(1, 60) if 300 <= n * f0_hz <= 3400}


SURROUNDINGS = {
    "start of a file": lambda tone: (tone, 0.0),
    "after silence": lambda tone: (np.concatenate((silence(1.0), tone)), 1.0),
    "after noise": lambda tone: (
        np.concatenate((np.random.default_rng(1).normal(0, 1e-3, INPUT_HZ), tone)),
        1.0,
    ),
    "in noise": lambda tone: (np.concatenate((silence(1.0), tone)) + _hiss(INPUT_HZ + len(tone)), 1.0),
    "after itself": lambda tone: (np.concatenate((tone, silence(1.0), tone)), 1.0 + NOTE_SECONDS),
}


def _hiss(frames):
    return np.random.default_rng(2).normal(0, 3e-4, frames)


@pytest.mark.parametrize("surroundings", SURROUNDINGS)
@pytest.mark.parametrize("level_db", [-23.0, -45.0])
def test_a_sine_is_right_to_a_cent_and_in_99_of_100_frames_to_five(surroundings, level_db):
    worst = {}
    for midi in NOTES_MIDI:
        sound, begin = SURROUNDINGS[surroundings](note(hertz(midi), {1: 1.0}, level_db))
        errors = steady_errors(sound, hertz(midi), begin + 0.1, begin + NOTE_SECONDS - 0.08)
        if abs(np.median(errors)) > 1 or np.quantile(np.abs(errors), 0.99) > 5:
            worst[midi] = (np.median(errors), np.abs(errors).max())
    assert not worst


@pytest.mark.parametrize("second_db", [-30.0, -35.0, -40.0])
def test_a_hum_with_little_on_top_is_right_to_a_cent_and_to_five_in_noise_50_db_down(second_db):
    for midi in (42, 45, 51, 60, 72):
        sound = np.concatenate((silence(0.4), note(hertz(midi), {1: 1.0, 2: 10 ** (second_db / 20)}), silence(0.2)))
        sound += np.random.default_rng(midi).normal(0, 0.1 * 10 ** (-50 / 20), len(sound))
        errors = steady_errors(sound, hertz(midi), 0.5, 0.4 + NOTE_SECONDS - 0.08)
        assert abs(np.median(errors)) < 1, midi
        assert np.quantile(np.abs(errors), 0.99) < 5, midi


@pytest.mark.parametrize("midi", LOW_MIDI)
def test_two_to_six_without_the_fundamental_keep_their_octave(midi):
    amplitudes = dict.fromkeys(range(2, 7), 1.0)
    assert same_octave(amplitudes, hertz(midi)) == 1
    assert same_octave(amplitudes, hertz(midi), 3e-4) > 0.95


@pytest.mark.parametrize("noise", [0.0, 3e-4, 3e-3])
@pytest.mark.parametrize("tilt", [0.0, 1.0])
@pytest.mark.parametrize("midi", [39, *LOW_MIDI])
def test_a_telephone_keeps_the_octave(midi, tilt, noise):
    for cents in (-30, 0):
        f0_hz = hertz(midi + cents / 100)
        assert same_octave(telephone(f0_hz, tilt), f0_hz, noise) == 1, cents


SPECTRA = {
    "fundamental 30 dB under the second": {1: 10 ** (-30 / 20)} | {n: 2 / n for n in range(2, 11)},
    "square": {n: 1 / n for n in range(1, 12, 2)},
    "odd and flat": dict.fromkeys((1, 3, 5, 7, 9), 1.0),
    "one and three": {1: 1.0, 3: 1.0},
    "one and three, weak": {1: 1.0, 3: 0.1},
    "one and a louder two": {1: 0.3, 2: 1.0},
    "bright": dict.fromkeys(range(1, 13), 1.0),
    "dull": {n: n**-5.0 for n in range(1, 13)},
}


@pytest.mark.parametrize("name", SPECTRA)
def test_no_spectrum_from_f_sharp_2_up_loses_its_octave_after_silence(name):
    wrong = {}
    for midi in NOTES_MIDI[2:]:
        amplitudes = {n: a for n, a in SPECTRA[name].items() if n * hertz(midi) < 11_000}
        right = same_octave(amplitudes, hertz(midi))
        if right < 1:
            wrong[midi] = right
    assert not wrong


def test_a_sine_after_silence_is_the_same_integers_however_it_is_cut():
    sound = np.concatenate((silence(0.3), note(92.5, {1: 1.0, 2: 0.01}, -23.0), silence(0.1)))
    whole = heard(sound)
    assert heard(sound, range(441, len(sound), 441)) == whole
    assert heard(sound, sorted(np.random.default_rng(5).integers(0, len(sound), 25).tolist())) == whole
