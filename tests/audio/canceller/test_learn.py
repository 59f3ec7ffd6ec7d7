"""How well delays fit, before one is believed."""

from __future__ import annotations

import numpy as np

from audio.canceller.learn import PIECE_FRAMES, heights, heights_all_along
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


def test_all_along_a_long_sound_an_echo_stands_out_wherever_it_begins():
    sounds = [noise(k) for k in range(3)]
    long = np.random.default_rng(9).standard_normal(20 * RATE_HZ)
    places = (7_000, PIECE_FRAMES // 2 - 12_000, PIECE_FRAMES // 2 + 100)
    for sound, at in zip(sounds, places, strict=True):
        long[at : at + len(sound)] += sound
    rows = list(heights_all_along(sounds, long))
    assert [row.argmax() for row in rows] == list(places)
    assert all(row.shape == long.shape and row.max() > 20 for row in rows)
    assert all(0.6 < np.median(row) < 0.75 for row in rows)


def test_all_along_a_sound_that_swells_no_place_stands_out_for_being_loud():
    long = np.random.default_rng(9).standard_normal(20 * RATE_HZ)
    long[: 10 * RATE_HZ] *= 0.001
    (row,) = heights_all_along([noise(1)], long)
    assert np.median(row[: 9 * RATE_HZ]) > 0.6
    assert row.max() < 8


def test_all_along_silence_nothing_fits():
    (row,) = heights_all_along([noise(1)], np.zeros(3 * RATE_HZ))
    assert not row.any()
