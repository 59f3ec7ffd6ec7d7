"""The exact pitch, against the Cramér-Rao bound, and the share that it explains."""

from __future__ import annotations

import numpy as np
import pytest

from audio.pitch._periods import PERIODS
from audio.pitch._refine import HALF_FRAMES, refine
from audio.units import RATE_HZ

MARGIN = HALF_FRAMES + 10
DRY = np.zeros(1_000)  # a room keeps nothing


def cents_of(f0_hz):
    return 6900 + 1200 * np.log2(np.asarray(f0_hz, dtype=float) / 440)


def harmonic_tone(f0_hz, frames, harmonics=10, rng=None):
    number = np.arange(1, harmonics + 1)
    phases = np.zeros(harmonics) if rng is None else rng.uniform(0, 2 * np.pi, harmonics)
    time = (np.arange(frames) - frames // 2) / RATE_HZ
    return (np.sin(2 * np.pi * f0_hz * number[:, None] * time + phases[:, None]) / number[:, None]).sum(axis=0)


def bound_cents(f0_hz, window_seconds, noise_variance, harmonics=10):
    """Christensen & Jakobsson (2009), "Multi-Pitch Estimation", section 1.5, for a real signal (from memory)."""
    frames = window_seconds * RATE_HZ
    energy = harmonics  # sum of l**2 * A_l**2 with A_l = 1 / l
    variance = 24 * noise_variance / (frames * (frames**2 - 1) * energy)
    return np.sqrt(variance) * RATE_HZ / (2 * np.pi) / f0_hz * 1200 / np.log(2)


@pytest.mark.parametrize("f0_hz", [110.0, 220.0, 440.0, 880.0])
def test_the_error_is_within_1_3_times_the_cramer_rao_bound_at_20_db(f0_hz):
    rng = np.random.default_rng(round(f0_hz))
    seconds = 0.036
    periods = min(PERIODS, key=lambda p: abs(p - seconds * f0_hz))
    errors = []
    for _ in range(150):
        sound = harmonic_tone(f0_hz, 2 * MARGIN, harmonics=6, rng=rng)
        noise = np.sqrt((sound**2).mean() / 100)
        sound += rng.normal(0, noise, len(sound))
        rough = cents_of(f0_hz) + rng.uniform(-20, 20)
        fine = refine(sound, np.array([MARGIN]), np.array([rough]), np.array([seconds]), DRY[:1])
        errors.append(fine.cents[0] - cents_of(f0_hz))
    bound = bound_cents(f0_hz, periods / f0_hz, noise**2, harmonics=6)
    assert np.sqrt(np.mean(np.square(errors))) < 1.3 * bound
    assert abs(np.mean(errors)) < 0.5 * bound


@pytest.mark.parametrize("f0_hz", [82.4, 196.0, 523.3])
@pytest.mark.parametrize("cents_per_second", [1200.0, -1200.0])
def test_the_pitch_of_a_glide_is_that_at_the_centre(f0_hz, cents_per_second):
    octaves = cents_per_second / 1200
    time = (np.arange(2 * MARGIN) - MARGIN) / RATE_HZ
    phase = 2 * np.pi * f0_hz * (2 ** (octaves * time) - 1) / (np.log(2) * octaves)
    sound = sum(np.sin(n * phase + n) / n for n in range(1, 9))
    for seconds in (0.028, 0.05):
        fine = refine(sound, np.array([MARGIN]), cents_of([f0_hz]) + 12, np.array([seconds]), DRY[:1])
        assert abs(fine.cents[0] - cents_of(f0_hz)) < 1.0


@pytest.mark.parametrize("f0_hz", [98.0, 311.0, 740.0])
@pytest.mark.parametrize("snr_db", [0.0, 10.0, 20.0])
def test_the_residual_is_the_level_of_the_noise_within_half_a_db(f0_hz, snr_db):
    rng = np.random.default_rng(4)
    time = np.arange(RATE_HZ) / RATE_HZ
    tone = sum(np.sin(2 * np.pi * f0_hz * n * time + n) / n for n in range(1, 8))
    noise = rng.normal(0, np.sqrt(2 * (tone**2).mean() * 10 ** (-snr_db / 10)), len(tone))
    spectrum = np.fft.rfft(noise)
    spectrum[6_000:] = 0  # a bin is 1 Hz; above, reading between the samples loses some
    noise = np.fft.irfft(spectrum, len(tone))
    centres = np.arange(MARGIN, RATE_HZ - MARGIN, 240)
    fine = refine(
        tone + noise, centres, np.full(len(centres), cents_of(f0_hz)), np.full(len(centres), 0.036), DRY[: len(centres)]
    )
    assert abs(10 * np.log10(fine.residual.mean() / (noise**2).mean())) < 0.75
    assert abs(10 * np.log10(fine.power.mean() / ((tone + noise) ** 2).mean())) < 0.5


def test_the_standard_deviation_said_is_honest():
    rng = np.random.default_rng(6)
    time = np.arange(4 * RATE_HZ) / RATE_HZ
    sound = sum(np.sin(2 * np.pi * 220 * n * time + n) / n for n in range(1, 9)) + rng.normal(0, 0.4, len(time))
    centres = np.arange(MARGIN, len(time) - MARGIN, 120)
    fine = refine(
        sound, centres, np.full(len(centres), cents_of(220.0)), np.full(len(centres), 0.036), DRY[: len(centres)]
    )
    inside = np.abs(fine.cents - cents_of(220.0)) <= 1.96 * fine.sigma_cents
    assert np.mean(inside) > 0.93
    assert np.median(fine.sigma_cents) < 6


@pytest.mark.parametrize("apart", [-60.0, 40.0])
def test_in_a_room_a_pitch_that_is_not_clear_goes_half_of_the_way_to_the_rough_one(apart):
    rng = np.random.default_rng(8)
    tone = harmonic_tone(220.0, 4 * MARGIN, rng=rng)
    centres = np.arange(MARGIN, 3 * MARGIN, 120)
    rough, seconds = np.full(len(centres), cents_of(220.0) + apart), np.full(len(centres), 0.05)
    for noise, half_way in ((0.5, 0.5), (0.02, 0.0)):  # the second is clear, and keeps what it says
        sound = tone + rng.normal(0, noise, len(tone))
        dry = refine(sound, centres, rough, seconds, np.zeros(len(centres))).cents
        wet = refine(sound, centres, rough, seconds, np.full(len(centres), 0.05)).cents
        assert np.median((wet - dry) / (rough - dry)) == pytest.approx(half_way, abs=0.06)


def test_silence_gives_numbers_and_no_warning():
    fine = refine(
        np.zeros(4 * MARGIN),
        np.array([MARGIN, 2 * MARGIN]),
        cents_of([100.0, 900.0]),
        np.array([0.028, 0.07]),
        DRY[:2],
    )
    assert np.isfinite(fine.cents).all()
    assert (fine.power == 0).all()
    assert (fine.residual == 0).all()
