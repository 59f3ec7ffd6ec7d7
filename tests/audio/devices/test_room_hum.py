"""What hums in a room is found by its note, and noise alone hums nothing."""

from __future__ import annotations

import numpy as np
import pytest

from audio.devices.room_hum import room_hum

RATE_HZ = 48_000
AT = np.arange(round(1.2 * RATE_HZ)) / RATE_HZ


def noise(seed: int) -> np.ndarray:
    return np.random.default_rng(seed).standard_normal(len(AT)) * 0.001


@pytest.mark.parametrize("hertz", [50.0, 60.0, 100.0, 120.0, 233.0, 440.0])
def test_a_machine_is_found_with_its_pitch_and_level(hertz: float) -> None:
    machine = 0.002 * (np.sin(2 * np.pi * hertz * AT) + 0.5 * np.sin(4 * np.pi * hertz * AT))
    found = room_hum(noise(1) + machine, RATE_HZ)
    assert found is not None
    assert abs(found.hz - hertz) < 1
    assert abs(found.dbfs - 20 * np.log10(0.002 / np.sqrt(2))) < 1


def test_noise_hums_nothing() -> None:
    for seed in range(20):
        white = noise(seed)
        spectrum = np.fft.rfft(white)
        spectrum[1:] /= np.sqrt(np.arange(1, len(spectrum)))
        assert room_hum(white, RATE_HZ) is None
        assert room_hum(np.fft.irfft(spectrum, len(white)), RATE_HZ) is None
    assert room_hum(np.zeros(len(AT)), RATE_HZ) is None
    assert room_hum(noise(1)[:1000], RATE_HZ) is None


def test_a_hum_under_the_noise_is_not_told() -> None:
    assert room_hum(noise(3) + 2e-5 * np.sin(2 * np.pi * 100 * AT), RATE_HZ) is None
