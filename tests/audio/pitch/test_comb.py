"""The whole tracker on sounds with a known answer, and beside Praat."""

from __future__ import annotations

import tracemalloc
from itertools import pairwise

import numpy as np
import parselmouth
import pytest

from audio.block import Block
from audio.errors import SettingError
from audio.pitch._path import SOON_STRENGTHS
from audio.pitch._periods import PERIODS
from audio.pitch._refine import FARTHEST_CENTS, HALF_FRAMES, SOON_SECONDS, window_seconds
from audio.pitch._salience import GRID_CENTS
from audio.pitch.comb import AHEAD_FRAMES, HOP_FRAMES, SOONEST_CENTS, CombTracker
from audio.units import RATE_HZ

SECONDS = np.arange(2 * RATE_HZ) / RATE_HZ


def cents_of(f0_hz):
    return 6900 + 1200 * np.log2(np.asarray(f0_hz) / 440)


def heard(sound, rate_hz=RATE_HZ, **limits):
    tracker = CombTracker(**limits)
    samples = np.asarray(sound, dtype=np.float32)[:, None]
    out = []
    for begin in range(0, len(samples), 4096):
        out += tracker.feed(Block(samples[begin : begin + 4096].copy(), ("mic1",), begin, rate_hz))
    return out + tracker.flush()


def columns(frames):
    return {
        "seconds": np.array([f.centre_frame for f in frames]) / RATE_HZ,
        "cents": np.array([f.f0_c100 for f in frames]) / 100,
        "voiced": np.array([f.voiced for f in frames]),
        "confidence": np.array([f.confidence for f in frames]),
        "level": np.array([f.level_db10 for f in frames]) / 10,
        "residual": np.array([f.residual_db10 for f in frames]) / 10,
        "uncertainty": np.array([f.uncertainty_cents for f in frames]),
    }


def voice(f0_hz, loudness=0.2):
    """Harmonics 1/l of a pitch that may move, shape as f0_hz or SECONDS."""
    f0_hz = np.broadcast_to(f0_hz, SECONDS.shape)
    phase = 2 * np.pi * np.cumsum(f0_hz) / RATE_HZ
    top = int(min(12, 10_500 // f0_hz.max()))
    return loudness * sum(np.sin(n * phase + n) / n for n in range(1, top + 1))


def pink(snr_db, sound, seed=1):
    spectrum = np.fft.rfft(np.random.default_rng(seed).normal(size=len(sound)))
    f_hz = np.fft.rfftfreq(len(sound), 1 / RATE_HZ)
    noise = np.fft.irfft(spectrum / np.sqrt(np.maximum(f_hz, 30)), len(sound))
    return noise * np.sqrt((sound**2).mean() / (noise**2).mean()) * 10 ** (-snr_db / 20)


@pytest.mark.parametrize("f0_hz", [98.0, 233.1, 622.3])
def test_confidence_is_the_share_explained_in_clean_in_noise_and_among_others(f0_hz):
    inner = slice(40, -40)
    clean = columns(heard(voice(f0_hz)))["confidence"][inner]
    noisy = columns(heard(voice(f0_hz) + pink(10, voice(f0_hz))))["confidence"][inner]
    among = columns(heard(voice(f0_hz) + voice(1.26 * f0_hz) + voice(1.5 * f0_hz)))["confidence"][inner]
    assert clean.min() > 950
    assert 820 < np.median(noisy) < 940  # 10 / 11 = 909
    assert np.median(among) < 700


def test_the_residual_is_the_level_of_the_noise():
    sound = voice(220.0)
    noise = pink(10, sound)
    said = columns(heard(sound + noise))
    assert abs(np.median(said["residual"][40:-40]) - 10 * np.log10((noise**2).mean())) < 2
    assert abs(np.median(said["level"][40:-40]) - 10 * np.log10(((sound + noise) ** 2).mean())) < 1


@pytest.mark.parametrize("f0_hz", [110.0, 349.2, 784.0])
def test_a_vibrato_of_a_semitone_is_followed_and_agrees_with_praat(f0_hz):
    truth = f0_hz * 2 ** (50 / 1200 * np.sin(2 * np.pi * 5.5 * SECONDS))
    said = columns(heard(voice(truth)))
    pitch = parselmouth.Sound(voice(truth), RATE_HZ).to_pitch_ac(time_step=0.005, pitch_floor=75, pitch_ceiling=1100)
    times, praat = pitch.xs(), pitch.selected_array["frequency"]
    ok = (praat > 0) & (times > 0.1) & (times < 1.9)
    ours = np.interp(times[ok], said["seconds"], said["cents"])
    assert np.median(np.abs(ours - cents_of(praat[ok]))) < 3
    exact = ours - np.interp(times[ok], SECONDS, cents_of(truth))
    assert np.percentile(np.abs(exact), 95) < (6 if f0_hz < 200 else 3)


def test_a_glide_agrees_with_praat_in_time_too():
    truth = 196 * 2 ** (SECONDS - 1)
    pitch = parselmouth.Sound(voice(truth), RATE_HZ).to_pitch_ac(time_step=0.005, pitch_floor=75, pitch_ceiling=1100)
    times, praat = pitch.xs(), pitch.selected_array["frequency"]
    ok = (praat > 0) & (times > 0.1) & (times < 1.9)
    said = columns(heard(voice(truth)))
    ours = np.interp(times[ok], said["seconds"], said["cents"])
    assert abs(np.median(ours - cents_of(praat[ok]))) < 1.5


def test_a_leap_is_found_within_20_ms_and_without_an_octave_error():
    truth = np.where(SECONDS < 1, 220.0, 329.6)
    said = columns(heard(voice(truth)))
    wrong = np.abs(said["cents"] - np.interp(said["seconds"], SECONDS, cents_of(truth))) > 50
    assert not wrong[(np.abs(said["seconds"] - 1) > 0.02) & (said["seconds"] > 0.02) & (said["seconds"] < 1.98)].any()


def test_quiet_singing_20_db_down_is_voiced_and_as_exact():
    sound = voice(262.0) * np.where(SECONDS < 1, 1.0, 0.1) + np.random.default_rng(3).normal(0, 1e-4, len(SECONDS))
    said = columns(heard(sound))
    quiet = (said["seconds"] > 1.1) & (said["seconds"] < 1.9)
    assert said["voiced"][quiet].all()
    assert np.abs(said["cents"][quiet] - cents_of(262.0)).max() < 3


@pytest.mark.parametrize("centre_hz", [1500, 3500, 6500], ids=["breath", "sh", "s"])
def test_breath_and_hissing_are_unvoiced_beside_a_voice(centre_hz):
    rng = np.random.default_rng(centre_hz)
    spectrum = np.fft.rfft(rng.normal(0, 0.1, len(SECONDS)))
    f_hz = np.fft.rfftfreq(len(SECONDS), 1 / RATE_HZ)
    hiss = np.fft.irfft(spectrum * np.exp(-(((f_hz - centre_hz) / 700) ** 2)), len(SECONDS))
    said = columns(heard(np.where(SECONDS < 1, voice(262.0), hiss)))
    assert said["voiced"][(said["seconds"] > 0.05) & (said["seconds"] < 0.95)].all()
    assert said["voiced"][said["seconds"] > 1.05].mean() < 0.03


def test_a_hum_before_the_singer_is_not_a_singer():
    hum = 0.002 * sum(np.sin(2 * np.pi * 50 * n * SECONDS + n) / n for n in (1, 2, 3, 4, 5, 7))
    said = columns(
        heard(hum + np.where(SECONDS < 1, 0, voice(262.0)) + np.random.default_rng(4).normal(0, 1e-4, len(hum)))
    )
    assert not said["voiced"][said["seconds"] < 0.95].any()
    assert said["voiced"][(said["seconds"] > 1.05) & (said["seconds"] < 1.95)].all()


@pytest.mark.parametrize("spoil", [lambda x: np.clip(4 * x, -0.3, 0.3), lambda x: x + 0.4], ids=["clipped", "offset"])
def test_clipping_and_an_offset_do_not_move_the_pitch(spoil):
    said = columns(heard(spoil(voice(146.8))))
    assert said["voiced"][20:-20].all()
    assert np.abs(said["cents"][20:-20] - cents_of(146.8)).max() < 5


@pytest.mark.parametrize("rate_hz", [8_000, 11_025, 44_100, 96_000])
def test_any_rate_gives_the_same_pitch_at_the_same_time(rate_hz):
    seconds = np.arange(rate_hz) / rate_hz
    truth = 300 * 2 ** (0.5 * seconds)
    phase = 2 * np.pi * 300 * (2 ** (0.5 * seconds) - 1) / (0.5 * np.log(2))
    said = columns(heard(0.2 * sum(np.sin(n * phase) / n for n in range(1, 6)), rate_hz))
    inner = (said["seconds"] > 0.1) & (said["seconds"] < 0.9)
    error = said["cents"][inner] - np.interp(said["seconds"][inner], seconds, cents_of(truth))
    assert abs(np.median(error)) < 0.3
    assert np.abs(error).max() < 3


def test_the_uncertainty_covers_the_errors_in_noise_and_is_no_wider_than_it_need_be():
    sound = voice(196.0)
    said = columns(heard(sound + pink(10, sound, seed=9)))
    inner = said["voiced"].copy()
    inner[:40] = inner[-40:] = False
    error = np.abs(said["cents"] - cents_of(196.0))[inner]
    assert np.mean(error <= said["uncertainty"][inner]) > 0.93
    assert np.median(said["uncertainty"][inner]) < 15


def test_limits_keep_an_equally_loud_other_voice_out():
    sound = voice(147.0) + voice(554.4)
    said = columns(heard(sound, lowest_hz=110, highest_hz=250))
    assert np.median(np.abs(said["cents"][20:-20] - cents_of(147.0))) < 8  # without the limits 2298 cents off


@pytest.mark.parametrize("limits", [(30, 500), (100, 2000), (300, 200), (200, 205)])
def test_limits_that_cannot_be_are_refused_with_what_can(limits):
    with pytest.raises(SettingError, match="cannot be sought") as said:
        CombTracker(lowest_hz=limits[0], highest_hz=limits[1])
    assert "60 to 1500" in said.value.do


@pytest.mark.parametrize(("f0_hz", "limits"), [(61.0, (60, 120)), (1480.0, (700, 1500))])
def test_the_widest_limits_are_tracked_up_to_their_ends(f0_hz, limits):
    said = columns(heard(voice(f0_hz), lowest_hz=limits[0], highest_hz=limits[1]))
    assert said["voiced"][20:-20].all()
    assert np.abs(said["cents"][20:-20] - cents_of(f0_hz)).max() < 5


def test_memory_does_not_grow_with_the_take():
    block = voice(220.0).astype(np.float32)[:, None]
    block[5, 0] = np.nan  # what was spoilt must be forgotten, too
    tracker = CombTracker()
    sizes = []
    for n in range(6):
        tracker.feed(Block(block.copy(), ("mic1",), n * len(block), RATE_HZ))
        if n == 1:
            tracemalloc.start()
        if n > 1:
            sizes.append(tracemalloc.get_traced_memory()[0])
    tracemalloc.stop()
    assert max(sizes) - min(sizes) < 100_000
    assert len(tracker._door.bad) <= 1


def test_a_pitch_told_before_its_time_needs_no_sound_that_is_not_there():
    lowest_hz = 440 * 2 ** ((SOONEST_CENTS - 2 * GRID_CENTS - FARTHEST_CENTS - 6900) / 1200)
    # by how much of what is asked for the nearest number of periods may be longer
    longer = max(after / (0.5 * (before + after)) for before, after in pairwise(PERIODS))
    for back, strength in enumerate(SOON_STRENGTHS):
        seconds = max(
            longer * window_seconds(np.array([strength + 1e-9]), np.array([False]))[0], PERIODS[0] / lowest_hz
        )
        assert 0.5 * seconds * RATE_HZ + 2 <= AHEAD_FRAMES + back * HOP_FRAMES  # and two more to read between samples
    for back in range(1, len(SOON_STRENGTHS)):  # what a clear voice vouches for
        assert 0.5 * longer * SOON_SECONDS * RATE_HZ + 2 <= AHEAD_FRAMES + back * HOP_FRAMES
    assert AHEAD_FRAMES + len(SOON_STRENGTHS) * HOP_FRAMES >= HALF_FRAMES + 2
