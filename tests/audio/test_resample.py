"""The resampler, against known sounds and against soxr."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
import soxr
from hypothesis import given, settings
from hypothesis import strategies as st

from audio.block import Block
from audio.errors import SignalError
from audio.resample import Resampler
from audio.units import RATE_HZ

RATES = [8_000, 11_025, 16_000, 22_050, RATE_HZ, 32_000, 44_100, 48_000, 88_200, 96_000]


def resampled(sound, rate_hz, cuts=(), start_frame=0):
    stage = Resampler()
    blocks = []
    for begin, end in pairwise([0, *cuts, len(sound)]):
        part = np.array(sound[begin:end, None], dtype=np.float32)
        blocks += stage.feed(Block(part, ("mic1",), start_frame + begin, rate_hz))
    return blocks + stage.flush()


def joined(blocks):
    for one, after in pairwise(blocks):
        assert after.start_frame == one.end_frame
    return np.concatenate([b.samples[:, 0] for b in blocks])


@pytest.mark.parametrize("rate_hz", RATES)
def test_output_frame_n_is_the_sound_at_n_24000ths_of_a_second(rate_hz):
    top_hz = 0.38 * min(rate_hz, RATE_HZ)
    for f0_hz in (65.0, 440.0, 1100.0, top_hz):
        sound = 0.5 * np.sin(2 * np.pi * f0_hz * np.arange(rate_hz) / rate_hz + 1)
        got = joined(resampled(sound, rate_hz))
        assert len(got) == RATE_HZ
        truth = 0.5 * np.sin(2 * np.pi * f0_hz * np.arange(RATE_HZ) / RATE_HZ + 1)
        assert np.abs(got - truth)[200:-200].max() < 3e-4, f0_hz


@pytest.mark.parametrize("rate_hz", [44_100, 48_000, 96_000])
def test_noise_agrees_with_soxr_in_the_band_that_the_tracker_uses(rate_hz):
    noise = np.random.default_rng(3).normal(0, 0.1, rate_hz).astype(np.float32)
    ours = np.fft.rfft(joined(resampled(noise, rate_hz)))
    theirs = np.fft.rfft(soxr.resample(noise, rate_hz, RATE_HZ, quality="VHQ")[:RATE_HZ])
    band = slice(50, 10_000)  # a bin is 1 Hz
    assert np.sum(np.abs(ours - theirs)[band] ** 2) / np.sum(np.abs(theirs[band]) ** 2) < 1e-4


@pytest.mark.parametrize("rate_hz", [44_100, 48_000, 96_000])
def test_sound_above_the_band_is_60_db_down(rate_hz):
    high = np.sin(2 * np.pi * 14_500 * np.arange(rate_hz) / rate_hz)
    assert np.abs(joined(resampled(high, rate_hz)))[200:-200].max() < 1e-3


@pytest.mark.parametrize("rate_hz", [8_000, RATE_HZ, 44_100, 47_998, 48_000])
@settings(max_examples=10, deadline=None)
@given(cuts=st.lists(st.integers(0, 6000), max_size=12).map(sorted))
def test_cutting_never_changes_a_bit(rate_hz, cuts):
    sound = np.random.default_rng(1).normal(0, 0.1, 6000)
    assert np.array_equal(joined(resampled(sound, rate_hz, cuts)), joined(resampled(sound, rate_hz)))


@pytest.mark.parametrize("rate_hz", [8_000, 44_100, 48_000])
def test_latency_is_what_it_says(rate_hz):
    stage = Resampler()
    reached = 0
    for begin in range(0, 3000, 10):
        for block in stage.feed(Block(np.zeros((10, 1), np.float32), ("mic1",), begin, rate_hz)):
            reached = block.end_frame
        fed = (begin + 10) * RATE_HZ / rate_hz
        assert fed - reached <= stage.latency_frames + 1
    assert stage.latency_frames <= 48


def test_a_loss_shows_in_the_frame_count_and_in_the_next_block():
    stage = Resampler()
    ones = np.ones((4800, 1), np.float32)
    out = stage.feed(Block(ones.copy(), ("mic1",), 0, 48_000))
    out += stage.feed(Block(ones.copy(), ("mic1",), 9600, 48_000, lost_frames_before=4800))
    out += stage.flush()
    assert [b.lost_frames_before for b in out].count(2400) == 1
    after = next(b for b in out if b.lost_frames_before)
    assert after.start_frame == 4800
    assert sum(len(b.samples) for b in out) == 4800
    assert max(b.end_frame for b in out) == 7200


def test_a_stream_that_begins_late_keeps_its_own_frame_count():
    sound = np.sin(2 * np.pi * 440 * np.arange(1001, 45_101) / 44_100)
    blocks = resampled(sound, 44_100, start_frame=1001)
    assert blocks[0].start_frame == -(-1001 * RATE_HZ // 44_100)
    assert blocks[0].lost_frames_before == 0
    got = joined(blocks)
    truth = np.sin(2 * np.pi * 440 * (blocks[0].start_frame + np.arange(len(got))) / RATE_HZ)
    assert np.abs(got - truth)[200:-200].max() < 1e-3


def test_samples_that_are_not_numbers_count_as_silence():
    sound = np.zeros(2000)
    sound[500], sound[900], sound[1200] = np.nan, np.inf, -np.inf
    assert np.array_equal(joined(resampled(sound, 48_000)), np.zeros(1000, np.float32))


def test_an_empty_stream_gives_nothing():
    assert resampled(np.zeros(0), 48_000) == []
    assert Resampler().flush() == []


def test_a_change_of_rate_is_refused_with_what_to_do():
    stage = Resampler()
    stage.feed(Block(np.zeros((10, 1), np.float32), ("mic1",), 0, 48_000))
    with pytest.raises(SignalError, match="48000 to 44100"):
        stage.feed(Block(np.zeros((10, 1), np.float32), ("mic1",), 10, 44_100))
    stage.reset()
    stage.feed(Block(np.zeros((10, 1), np.float32), ("mic1",), 0, 44_100))
