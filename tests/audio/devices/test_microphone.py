"""What a microphone's sound tells of it."""

from __future__ import annotations

import numpy as np
import pytest
import soxr

from audio.devices.microphone import call_rate_hz, levels_dbfs, only_zeros

RNG = np.random.default_rng(11)


def pink(seconds: float, rate_hz: int, level: float = 0.003) -> np.ndarray:
    """Noise that falls by 3 dB an octave, as rooms roughly do."""
    count = round(seconds * rate_hz)
    spectrum = np.fft.rfft(RNG.standard_normal(count)) / np.sqrt(np.maximum(np.arange(count // 2 + 1), 1))
    sound = np.fft.irfft(spectrum, count)
    return (sound / np.std(sound) * level).astype(np.float32)


def test_exact_zeros_are_told_from_the_faintest_sound() -> None:
    assert only_zeros(np.zeros(48_000, np.float32))
    faint = np.zeros(48_000, np.float32)
    faint[40_000] = 2**-23
    assert not only_zeros(faint)


def test_a_full_scale_sine_is_at_minus_three() -> None:
    sine = np.sin(2 * np.pi * 1_000 * np.arange(48_000) / 48_000).astype(np.float32)
    assert np.allclose(levels_dbfs(sine, 48_000), -3.01, atol=0.1)  # mean square of a sine is 1/2


def test_rumble_below_a_voice_does_not_count() -> None:
    at = np.arange(48_000) / 48_000
    rumble = (0.3 * np.sin(2 * np.pi * 20 * at)).astype(np.float32)
    assert np.max(levels_dbfs(rumble, 48_000)) < -45


def test_levels_of_nothing_are_none() -> None:
    assert len(levels_dbfs(np.zeros(10, np.float32), 48_000)) == 0


@pytest.mark.parametrize("rate_hz", [48_000, 44_100])
@pytest.mark.parametrize("call_hz", [8_000, 16_000])
def test_a_call_is_recognised_through_a_server_that_raised_its_rate(rate_hz: int, call_hz: int) -> None:
    room = soxr.resample(pink(1.2, call_hz), call_hz, rate_hz)
    assert call_rate_hz(np.round(room * 32_768) / 32_768, rate_hz) == call_hz


@pytest.mark.parametrize("rate_hz", [8_000, 16_000])
def test_a_call_is_recognised_by_its_rate(rate_hz: int) -> None:
    assert call_rate_hz(pink(1.2, rate_hz), rate_hz) == rate_hz


@pytest.mark.parametrize("rate_hz", [48_000, 44_100, 32_000, 96_000])
def test_a_real_room_is_no_call(rate_hz: int) -> None:
    room = pink(1.2, rate_hz)
    at = np.arange(len(room)) / rate_hz
    hum = 0.02 * np.sin(2 * np.pi * 100 * at) + 0.01 * np.sin(2 * np.pi * 50 * at)
    assert call_rate_hz((room + hum).astype(np.float32), rate_hz) is None


def test_a_silent_room_says_nothing_of_the_band() -> None:
    assert call_rate_hz(np.zeros(57_600, np.float32), 48_000) is None
    at = np.arange(57_600) / 48_000
    tone = (0.1 * np.sin(2 * np.pi * 1_000 * at)).astype(np.float32)  # a clean digital tone, no room at all
    assert call_rate_hz(tone, 48_000) is None
