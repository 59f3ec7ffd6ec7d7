"""A voice that begins: told from its own sound alone, and from nothing that only grows."""

from __future__ import annotations

import numpy as np
import pytest

from audio.block import Block
from audio.pitch._rising import AHEAD_FRAMES, rises
from audio.pitch.comb import HOP_FRAMES, CombTracker
from audio.units import RATE_HZ, c100_to_hz

HERE = 4 * AHEAD_FRAMES
SIZE = 8 * AHEAD_FRAMES


def swelling(f0_hz, *, begin=HERE, swell_s=0.04, harmonics=10, before=1e-5, seed=1):
    """A voice that swells from *begin* on, and a hiss all through."""
    t = (np.arange(SIZE) - begin) / RATE_HZ
    voice = sum(np.sin(2 * np.pi * k * f0_hz * t + k * k) / k for k in range(1, harmonics + 1) if k * f0_hz < 5000)
    hiss = before * np.random.default_rng(seed).standard_normal(SIZE)
    return 0.3 * voice * np.clip(t / swell_s, 0.0, 1.0) + hiss


@pytest.mark.parametrize("f0_hz", [82.4, 131.0, 220.0, 440.0, 880.0])
def test_a_voice_rises_at_its_first_sample_and_not_ten_milliseconds_before_it_nor_while_it_lasts(f0_hz):
    sound, period = swelling(f0_hz), RATE_HZ / f0_hz
    assert rises(sound, HERE, period)
    assert not rises(sound, HERE - 240, period)
    assert not rises(sound, HERE + 3 * AHEAD_FRAMES, period)


@pytest.mark.parametrize("f0_hz", [131.0, 220.0, 440.0, 880.0])
def test_at_another_pitch_nothing_rises(f0_hz):
    sound = swelling(f0_hz)
    for apart in (2 ** (1 / 6), 2 ** (-1 / 6), 2 ** (7 / 12), 1.5 / 2):
        assert not rises(sound, HERE, RATE_HZ / (apart * f0_hz))


@pytest.mark.parametrize("seed", range(20))
def test_noise_that_begins_is_no_voice(seed):
    noise = np.random.default_rng(seed).standard_normal(SIZE)
    noise[:HERE] *= 1e-3
    brown = np.cumsum(noise) - np.cumsum(noise)[HERE]
    brown[:HERE] *= 1e-3
    for sound in (noise, brown):
        assert not any(rises(sound, HERE, period) for period in np.geomspace(24.0, 360.0, 40))


@pytest.mark.parametrize("f0_hz", [131.0, 220.0, 440.0])
def test_behind_a_consonant_s_noise_a_voice_need_not_be_louder_than_it(f0_hz):
    sound, period = swelling(f0_hz), RATE_HZ / f0_hz
    noise = np.random.default_rng(5).standard_normal(SIZE)
    sound[HERE - 1200 : HERE] += 0.2 * noise[HERE - 1200 : HERE]
    assert np.mean(sound[HERE : HERE + AHEAD_FRAMES] ** 2) < 2 * np.mean(sound[HERE - AHEAD_FRAMES : HERE] ** 2)
    assert rises(sound, HERE, period)


def test_what_fades_does_not_rise():
    sound = swelling(220.0)
    assert not any(rises(sound[::-1].copy(), SIZE - HERE + away, RATE_HZ / 220.0) for away in range(-600, 300, 30))


def test_silence_rises_nowhere():
    assert not rises(np.zeros(SIZE), HERE, 100.0)


@pytest.mark.parametrize("f0_hz", [131.0, 220.0, 440.0, 880.0])
@pytest.mark.parametrize("late", [0, 30, 60, 90])
def test_the_first_voiced_hop_lies_within_a_hop_of_the_voice_s_first_sample_and_is_known_soon(f0_hz, late):
    begin = HERE + late
    tracker, first = CombTracker(), None
    sound = np.concatenate((swelling(f0_hz, begin=begin), np.zeros(AHEAD_FRAMES))).astype(np.float32)[:, None]
    for at in range(0, len(sound), 24):
        heard = tracker.feed(Block(sound[at : at + 24].copy(), ("mic1",), at, RATE_HZ))
        first = first or next(((frame, at + 24) for frame in heard if frame.voiced), None)
    frame, known = first
    assert abs(frame.centre_frame - begin) <= HOP_FRAMES
    assert abs(1200 * np.log2(c100_to_hz(frame.f0_c100) / f0_hz)) <= 20
    assert known - begin <= 0.034 * RATE_HZ
