"""Loudness against what the standard and its test signals say.

ITU-R BS.1770-4 gives -3.01 LKFS for a full-scale 997 Hz sine in one channel; EBU Tech 3341 (2016) test cases 1 and 2: stereo 1000 Hz at
-23 dBFS is -23.0 LUFS within 0.1, at -33 dBFS -33.0; case 3: quieter parts before and after do not count.
"""

from __future__ import annotations

import numpy as np
import pytest

from audio.loudness import loudness_lufs


def sine(hz: float, dbfs: float, seconds: float, rate_hz: int = 48_000) -> np.ndarray:
    return (10 ** (dbfs / 20) * np.sin(2 * np.pi * hz * np.arange(round(seconds * rate_hz)) / rate_hz)).astype(
        np.float32
    )


def stereo(mono: np.ndarray) -> np.ndarray:
    return np.stack([mono, mono], axis=1)


def test_a_full_scale_sine_in_one_channel_is_three_below() -> None:
    one = np.stack([sine(997, 0, 5), np.zeros(5 * 48_000, dtype=np.float32)], axis=1)
    assert loudness_lufs(one, 48_000) == pytest.approx(-3.01, abs=0.05)


@pytest.mark.parametrize("dbfs", [-23.0, -33.0])
@pytest.mark.parametrize("rate_hz", [44_100, 48_000])
def test_the_ebus_steady_tones_measure_what_they_must(dbfs: float, rate_hz: int) -> None:
    assert loudness_lufs(stereo(sine(1000, dbfs, 20, rate_hz)), rate_hz) == pytest.approx(dbfs, abs=0.1)


def test_the_ebus_quiet_beginning_and_end_do_not_count() -> None:
    parts = np.concatenate([sine(1000, -36, 10), sine(1000, -23, 60), sine(1000, -36, 10)])
    assert loudness_lufs(stereo(parts), 48_000) == pytest.approx(-23.0, abs=0.1)


def test_one_signal_stands_for_both_ears() -> None:
    mono = sine(440, -20, 3)
    assert loudness_lufs(mono, 48_000) == pytest.approx(loudness_lufs(stereo(mono), 48_000), abs=0.01)


def test_silence_has_no_loudness_and_a_sound_shorter_than_a_block_has_one() -> None:
    assert loudness_lufs(np.zeros(48_000, dtype=np.float32), 48_000) == float("-inf")
    assert np.isfinite(loudness_lufs(sine(440, -10, 0.1), 48_000))
