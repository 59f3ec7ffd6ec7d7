"""What every pitch tracker must do, whoever wrote it."""

from __future__ import annotations

import numpy as np
import pytest

from audio.block import Block
from audio.heard import Gap, PitchFrame
from audio.pitch import DEFAULT_TRACKER, TRACKERS
from audio.units import RATE_HZ, hz_to_c100

KEYS = sorted(TRACKERS.load("audio.pitch"))


def heard(tracker, sound, cuts=(), rate_hz=RATE_HZ):
    """Everything a tracker says of a sound cut at the frames ``cuts``."""
    sound = np.asarray(sound, dtype=np.float32)
    out = []
    for begin, end in zip([0, *cuts], [*cuts, len(sound)], strict=True):
        out += tracker.feed(Block(sound[begin:end, None].copy(), ("mic1",), begin, rate_hz))
    return out + tracker.flush()


def tone(phase_cycles, f0_hz, rate_hz=RATE_HZ, loudness=0.2):
    """Harmonics 1/l of a phase given in cycles, those above the band left out."""
    top = int(min(10, 0.45 * rate_hz // np.max(f0_hz)))
    number = np.arange(1, top + 1)[:, None]
    return loudness * (np.sin(2 * np.pi * number * phase_cycles + number) / number).sum(axis=0)


def test_the_default_tracker_is_registered():
    assert DEFAULT_TRACKER in TRACKERS


@pytest.mark.parametrize("key", KEYS)
@pytest.mark.parametrize("f0_hz", [65.41, 82.41, 110.0, 146.83, 220.0, 311.13, 440.0, 659.26, 880.0, 1046.5])
def test_a_steady_tone_is_found_to_a_cent_in_every_frame(key, f0_hz):
    seconds = np.arange(RATE_HZ) / RATE_HZ
    frames = heard(TRACKERS[key](), tone(f0_hz * seconds, f0_hz))
    inner = [f for f in frames if 0.1 * RATE_HZ < f.centre_frame < 0.9 * RATE_HZ]
    assert len(inner) > 70
    assert all(f.voiced and f.confidence > 900 for f in inner)
    errors = np.array([f.f0_c100 - hz_to_c100(f0_hz) for f in inner]) / 100
    assert abs(np.median(errors)) < 1.0
    assert np.abs(errors).max() < 5.0


@pytest.mark.parametrize("key", KEYS)
@pytest.mark.parametrize("cents_per_second", [1200.0, -1200.0])
@pytest.mark.parametrize("f0_hz", [98.0, 196.0, 392.0, 698.0])
def test_the_time_stamp_is_the_centre_of_the_sound_used(key, f0_hz, cents_per_second):
    octaves = cents_per_second / 1200
    seconds = np.arange(-RATE_HZ // 3, RATE_HZ // 3) / RATE_HZ
    phase = f0_hz * (2 ** (octaves * seconds) - 1) / (np.log(2) * octaves)
    frames = heard(TRACKERS[key](), tone(phase, 1.3 * f0_hz))
    inner = [f for f in frames if abs(f.centre_frame / RATE_HZ - 1 / 3) < 0.25]
    truth = [hz_to_c100(f0_hz) + 100 * cents_per_second * (f.centre_frame / RATE_HZ - 1 / 3) for f in inner]
    errors = (np.array([f.f0_c100 for f in inner]) - truth) / 100
    assert abs(np.median(errors)) < 1.0


@pytest.mark.parametrize("key", KEYS)
def test_silence_and_noise_are_not_voiced(key):
    noise = np.random.default_rng(5).normal(0, 0.05, 2 * RATE_HZ)
    frames = heard(TRACKERS[key](), np.concatenate((np.zeros(RATE_HZ), noise)))
    assert sum(f.voiced for f in frames) == 0
    assert np.median([f.confidence for f in frames]) < 300


@pytest.mark.parametrize("key", KEYS)
@pytest.mark.parametrize("rate_hz", [RATE_HZ, 44_100])
@pytest.mark.parametrize("size", [1, 64, 65, 513, 8193])
def test_block_size_never_changes_the_answer(key, size, rate_hz):
    rng = np.random.default_rng(size)
    length = rate_hz // (8 if size == 1 else 2)
    seconds = np.arange(length) / rate_hz
    sound = tone(220 * seconds, 220, rate_hz) + rng.normal(0, 0.02, length)
    whole = heard(TRACKERS[key](), sound, rate_hz=rate_hz)
    assert heard(TRACKERS[key](), sound, range(size, length, size), rate_hz) == whole
    assert heard(TRACKERS[key](), sound, sorted(rng.integers(0, length, 20).tolist()), rate_hz) == whole


@pytest.mark.parametrize("key", KEYS)
def test_reset_leaves_nothing_of_what_was_heard(key):
    rng = np.random.default_rng(7)
    seconds = np.arange(RATE_HZ // 2) / RATE_HZ
    sound = tone(330 * seconds, 330) + rng.normal(0, 0.05, len(seconds))
    tracker = TRACKERS[key]()
    new = heard(tracker, sound)
    again = heard(tracker, sound)
    tracker.reset()
    assert again != new  # what was carried over is seen to matter
    assert heard(tracker, sound) == new
    tracker.reset()
    tracker.feed(
        Block(np.full((5_000, 1), np.nan, np.float32), ("mic1",), 2_000, 44_100)
    )  # left in the middle, at another rate
    tracker.reset()
    assert heard(tracker, sound) == new


@pytest.mark.parametrize("key", KEYS)
def test_lost_sound_gives_a_gap_and_no_estimate_in_it(key):
    seconds = np.arange(RATE_HZ) / RATE_HZ
    sound = tone(220 * seconds, 220).astype(np.float32)[:, None]
    tracker = TRACKERS[key]()
    half = RATE_HZ // 2
    out = tracker.feed(Block(sound[:half].copy(), ("mic1",), 0, RATE_HZ))
    out += tracker.feed(Block(sound[half:].copy(), ("mic1",), half + 4800, RATE_HZ, lost_frames_before=4800))
    out += tracker.flush()
    gaps = [(at, h) for at, h in enumerate(out) if isinstance(h, Gap)]
    assert [(g.from_frame, g.to_frame) for _, g in gaps] == [(half, half + 4800)]
    at = gaps[0][0]
    assert all(f.centre_frame < half for f in out[:at] if isinstance(f, PitchFrame))
    assert all(f.centre_frame >= half + 4800 for f in out[at + 1 :] if isinstance(f, PitchFrame))
    assert len(out) > 190


@pytest.mark.parametrize("key", KEYS)
@pytest.mark.parametrize("rate_hz", [8_000, RATE_HZ, 96_000])
def test_spoilt_sound_is_never_voiced_and_never_a_crash(key, rate_hz):
    spoilt = {
        "nothing": np.zeros(0),
        "not numbers": np.full(rate_hz // 4, np.nan),
        "infinite": np.full(rate_hz // 4, np.inf),
        "offset": np.full(rate_hz // 4, 0.7),
        "denormal": np.full(rate_hz // 4, 1e-40),
        "click": np.r_[np.zeros(rate_hz // 8), 1.0, np.zeros(rate_hz // 8)],
    }
    for name, sound in spoilt.items():
        frames = heard(TRACKERS[key](), sound, rate_hz=rate_hz)
        assert not any(f.voiced for f in frames), name


@pytest.mark.parametrize("key", KEYS)
def test_a_stretch_that_is_not_numbers_is_unvoiced_and_the_rest_is_heard(key):
    seconds = np.arange(RATE_HZ) / RATE_HZ
    sound = tone(220 * seconds, 220)
    sound[10_000:10_400] = np.nan
    frames = heard(TRACKERS[key](), sound)
    assert not any(f.voiced for f in frames if 10_000 <= f.centre_frame < 10_400)
    assert all(f.voiced for f in frames if 2_000 < f.centre_frame < 8_000 or 12_000 < f.centre_frame < 22_000)


@pytest.mark.parametrize("key", KEYS)
def test_latency_is_what_it_says(key):
    seconds = np.arange(RATE_HZ // 2) / RATE_HZ
    tracker = TRACKERS[key]()
    behind = []
    for begin in range(0, len(seconds), 40):
        block = tone(220 * seconds[begin : begin + 40], 220).astype(np.float32)[:, None]
        behind += [begin + 40 - f.centre_frame for f in tracker.feed(Block(block, ("mic1",), begin, RATE_HZ))]
    assert max(behind) <= tracker.latency_frames + 40 + tracker.hop_frames
    assert tracker.latency_frames <= 0.050 * RATE_HZ
