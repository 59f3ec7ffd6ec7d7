"""How well delays fit, before one is believed."""

from __future__ import annotations

import numpy as np

from audio.canceller.learn import heights
from audio.units import RATE_HZ

LONGEST = RATE_HZ // 2


def noise(seed):
    return np.random.default_rng(seed).standard_normal(RATE_HZ)


def test_an_echo_stands_far_above_the_usual_height_and_two_noises_do_not():
    sound = noise(1)
    heard = np.concatenate((np.zeros(3_000), sound))
    row = heights(sound, heard, LONGEST)
    assert row.shape == (LONGEST + 1,)
    assert row.argmax() == 3_000
    assert row.max() > 50
    assert heights(noise(2), heard, LONGEST).max() < 8


def test_silence_and_what_has_nothing_in_a_voices_range_fit_nowhere():
    silence, rumble = np.zeros(RATE_HZ), np.zeros(RATE_HZ)
    rumble[:] = np.sin(2 * np.pi * 20 * np.arange(RATE_HZ) / RATE_HZ) * np.hanning(RATE_HZ)
    assert heights(silence, noise(3), LONGEST) is None
    assert heights(noise(3), silence, LONGEST) is None
    assert heights(rumble, noise(3), LONGEST) is None
