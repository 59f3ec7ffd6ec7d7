"""The least-squares pitch of a steady voice: exact when it is one, and told to be unusable when the pitch bends."""

from __future__ import annotations

import numpy as np
import pytest

from audio.pitch._periods import cubic_frames
from audio.pitch._steady import steady_shift
from audio.units import RATE_HZ

CENTRES = np.arange(2_000, 18_000, 400)
PERIODS, POINTS = 8, 480


def frames_of(cents, noise=0.0, cut_hz=220.0):
    """Frames cut at 220 Hz from a tone that is ``cents`` (one value, or one a sample) above it."""
    count = 20_000
    f0 = 220.0 * 2.0 ** (np.broadcast_to(cents, (count,)) / 1200)
    phase = 2 * np.pi * np.cumsum(f0) / RATE_HZ
    sound = sum(np.sin(n * phase + n) / n for n in range(1, 9)) + np.random.default_rng(2).normal(0, noise, count)
    return cubic_frames(sound, CENTRES, np.full(len(CENTRES), cut_hz), PERIODS, POINTS)


@pytest.mark.parametrize("cents", [-3.0, -1.0, 0.0, 0.5, 2.0])
def test_a_steady_tone_is_found_within_a_tenth_of_how_far_off_it_was_cut(cents):
    exact, steady = steady_shift(frames_of(cents), PERIODS)
    assert np.abs(exact - cents).max() < 0.02 + 0.1 * abs(cents)
    assert np.isfinite(exact).all()
    assert steady.shape == (len(CENTRES),)


def test_in_noise_nearly_every_frame_of_a_steady_tone_may_be_used():
    _, steady = steady_shift(frames_of(2.0, noise=0.08), PERIODS)
    assert steady.mean() > 0.9


@pytest.mark.parametrize("shape", ["turn", "glide"])
def test_where_the_pitch_moves_it_says_that_it_may_not_be_used(shape):
    time = (np.arange(20_000) - CENTRES[0]) / RATE_HZ
    moving = 70.0 * np.cos(2 * np.pi * 6.0 * time) - 70.0 if shape == "turn" else 1200.0 * time
    _, steady = steady_shift(frames_of(moving, noise=0.003)[:1], PERIODS)
    assert not steady.any()


def test_silence_gives_numbers_and_no_warning():
    exact, _ = steady_shift(np.zeros((2, POINTS)), PERIODS)
    assert np.isfinite(exact).all()
