"""Strengths of pitches, and the noise floor under them."""

from __future__ import annotations

import numpy as np
import pytest

from audio.pitch._floor import Floor
from audio.pitch._salience import BINS, KNEE, WINDOW_FRAMES, Salience, _exact_product, _levelled, shapes, shares
from audio.units import RATE_HZ

TIME = np.arange(WINDOW_FRAMES) / RATE_HZ


def heard(power):
    return np.full(len(power), True)


def best_hz(sound, lowest_hz=65.0, highest_hz=1100.0):
    salience = Salience(lowest_hz, highest_hz)
    strengths = salience.strengths(sound[None, :], 0)
    cents = salience.peaks(strengths, strengths.argmax(axis=1))[0]
    return 440.0 * 2 ** ((cents - 6900) / 1200)


def tone(f0_hz, amplitudes):
    sound = sum(
        a * np.sin(2 * np.pi * f0_hz * n * TIME + n * n) for n, a in enumerate(amplitudes, 1) if n * f0_hz < 11_000
    )
    return 0.1 * sound + np.random.default_rng(1).normal(0, 1e-4, WINDOW_FRAMES)


@pytest.mark.parametrize("f0_hz", [66.0, 82.4, 123.0, 220.0, 349.2, 523.3, 830.6, 1046.5])
def test_f_wins_over_f2_2f_f3_and_3f_for_a_falling_series(f0_hz):
    assert abs(1200 * np.log2(best_hz(tone(f0_hz, [1 / n for n in range(1, 21)])) / f0_hz)) < 15


@pytest.mark.parametrize("f0_hz", [330.0, 349.2, 392.0])
def test_a_formant_on_the_second_harmonic_does_not_lift_the_voice_an_octave(f0_hz):
    loud_second = [1.0, 3.0, 0.3, 0.1, 0.06, 0.05, 0.04, 0.03]  # 9.5 dB above the fundamental
    assert abs(1200 * np.log2(best_hz(tone(f0_hz, loud_second)) / f0_hz)) < 15


@pytest.mark.parametrize("missing", [1, 2, 3])
def test_a_bass_is_found_without_its_lowest_harmonics(missing):
    amplitudes = [0.0] * missing + [1 / n for n in range(missing + 1, 16)]
    assert abs(1200 * np.log2(best_hz(tone(82.4, amplitudes)) / 82.4)) < 15


def test_an_odd_harmonic_voice_is_not_taken_for_its_third():
    assert abs(1200 * np.log2(best_hz(tone(220.0, [1, 0.02, 0.5, 0.02, 0.3, 0.02, 0.2, 0.02])) / 220)) < 15


def test_noise_favours_no_pitch():
    rng = np.random.default_rng(2)
    salience = Salience(65, 1100)
    strengths = np.concatenate([salience.strengths(rng.normal(0, 0.1, (64, WINDOW_FRAMES)), 64 * n) for n in range(12)])
    assert np.abs(strengths.mean(axis=0)).max() < 0.15
    assert strengths.max() < 2.5


def test_the_product_is_exact_whatever_the_batch():
    rng = np.random.default_rng(3)
    whole = rng.integers(0, 256, (70, BINS)).astype(np.float32)
    combs = rng.integers(-127, 128, (BINS, 247)).astype(np.float32)
    truth = whole.astype(np.int64) @ combs.astype(np.int64)
    for rows in (1, 2, 3, 64, 70):
        assert np.array_equal(_exact_product(whole[:rows], combs), truth[:rows])


def test_a_strength_depends_on_its_own_window_and_floor_alone():
    frames = np.random.default_rng(4).normal(0, 0.1, (9, WINDOW_FRAMES))
    together = Salience(65, 1100).strengths(frames, 0)
    one_by_one = Salience(65, 1100)
    apart = [one_by_one.strengths(frames[n : n + 1], n)[0] for n in range(9)]
    assert np.array_equal(together, np.array(apart))


def test_the_floor_finds_the_power_of_noise_within_2_db_in_a_second():
    # exponentially distributed powers, as the bins of any Gaussian noise have
    power = np.random.default_rng(5).exponential(4.0, (200, BINS))
    under = Floor(WINDOW_FRAMES / 2048, BINS).under(power, 0, heard(power))[-1]
    assert np.abs(10 * np.log10(under / 4.0)).max() < 4
    assert abs(10 * np.log10(np.mean(under) / 4.0)) < 2


def test_noise_that_begins_after_silence_counts_at_once_to_10_db():
    power = np.random.default_rng(5).exponential(4.0, (20, BINS))
    floor = Floor(WINDOW_FRAMES / 2048, BINS)
    floor.under(np.full((1, BINS), 1e-9), 0, np.array([True]))
    assert 10 * np.log10(floor.under(power, 1, heard(power))[0].mean() / 4.0) > -11


def test_digital_silence_in_front_says_nothing_of_the_noise():
    power = np.random.default_rng(5).exponential(4.0, (40, BINS))
    later = np.concatenate((np.full((400, BINS), 1e-12), power))
    floor = Floor(WINDOW_FRAMES / 2048, BINS).under(later, 0, np.arange(440) >= 400)
    assert np.array_equal(floor[400:], Floor(WINDOW_FRAMES / 2048, BINS).under(power, 0, heard(power)))


def test_a_stream_that_begins_with_a_tone_takes_little_of_it_for_noise():
    power = np.full((1, BINS), 1e-4)
    power[:, 20] = 100.0
    under = Floor(WINDOW_FRAMES / 2048, BINS).under(power, 1, heard(power))
    assert 10 * np.log10(100.0 / under[0, 33]) > 55  # of its own neighbourhood it would be 46


def test_a_note_held_for_ten_seconds_does_not_become_floor():
    power = np.full(BINS, 1e-4)
    power[::18] = 100.0  # harmonics of 211 Hz, 60 dB above the noise
    floor = Floor(WINDOW_FRAMES / 2048, BINS)
    under = floor.under(np.tile(power, (2000, 1)), 0, np.full(2000, True))[-1]
    assert 10 * np.log10(100.0 / under.max()) > 20


@pytest.mark.parametrize("f0_hz", [65.0, 131.0, 440.0, 1100.0])
def test_no_shape_of_a_comb_has_a_say_in_noise_that_is_alike_in_all_bins(f0_hz):
    assert np.abs(shapes(f0_hz).sum(axis=1)).max() < 1e-9
    assert shares(f0_hz).sum() == pytest.approx(1.0)


def test_a_bin_counts_by_its_power_near_the_floor_and_by_its_fourth_root_far_above_without_a_step():
    floor = np.ones((1, 1))
    near = [float(_levelled(np.full((1, 1), over), floor)[0, 0]) for over in (1.0, 2.0, 4.0)]
    assert near[1] / near[0] == near[2] / near[1] == 2.0
    below, above = (float(_levelled(np.full((1, 1), KNEE + off), floor)[0, 0]) for off in (-1e-6, 1e-6))
    assert abs(above - below) < 1e-3
    far = [float(_levelled(np.full((1, 1), over), floor)[0, 0]) for over in (16.0 - 1, 81.0 - 1, 256.0 - 1)]
    assert far[2] - far[1] == pytest.approx(far[1] - far[0])
