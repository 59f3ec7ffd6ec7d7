"""A small room delays, dulls and rings; a quiet one hums."""

from __future__ import annotations

import numpy as np
import pytest
import scipy.signal

from audio.room import SOUND_METRES_A_SECOND, Room, quiet_room, through_room

RATE_HZ = 24_000


@pytest.mark.parametrize("sizes", [[24_000], [1_000] * 24, [1, 2_047, 10_000, 11_952]])
def test_block_after_block_is_plain_convolution(sizes: list[int]) -> None:
    sound = np.random.default_rng(2).standard_normal(24_000).astype(np.float32)
    blocks = np.split(sound, np.cumsum(sizes)[:-1])
    heard = np.concatenate(list(through_room(blocks, Room(), RATE_HZ)))
    expected = scipy.signal.fftconvolve(sound, Room().response(RATE_HZ))[:24_000]
    assert np.allclose(heard, expected, atol=1e-5)


def test_the_direct_sound_comes_after_its_way_through_the_air() -> None:
    for metres in (0.3, 2.0):
        response = Room(distance_metres=metres, reflections_db=-60.0).response(RATE_HZ)
        assert abs(np.argmax(np.abs(response)) - metres / SOUND_METRES_A_SECOND * RATE_HZ) <= 1


def test_reflections_fall_sixty_decibels_in_the_reverberation_time() -> None:
    response = Room(reverberation_seconds=0.5, reflections_db=0.0).response(RATE_HZ)[200:]
    energy = np.cumsum(response[::-1] ** 2)[::-1]  # backward integration, Schroeder (1965)
    decay = 10 * np.log10(energy / energy[0])
    slope = np.polyfit(np.arange(1_200, 6_000) / RATE_HZ, decay[1_200:6_000], 1)[0]
    assert abs(-60 / slope - 0.5) < 0.08


def test_a_small_loudspeaker_gives_little_below_its_reach() -> None:
    bins = np.abs(np.fft.rfft(Room(reflections_db=-80.0).response(RATE_HZ), 1 << 16))
    at = lambda hz: bins[round(hz * (1 << 16) / RATE_HZ)]  # noqa: E731
    assert 20 * np.log10(at(40) / at(1_000)) < -18
    assert abs(20 * np.log10(at(2_000) / at(1_000))) < 1


@pytest.mark.parametrize("level_dbfs", [-66.0, -40.0])
def test_a_quiet_room_has_its_level_and_no_seam(level_dbfs: float) -> None:
    whole = quiet_room(0, 48_000, level_dbfs=level_dbfs, rate_hz=RATE_HZ, seed=3)
    assert abs(10 * np.log10(np.mean(whole.astype(float) ** 2)) - level_dbfs) < 0.5
    parts = [quiet_room(at, 6_000, level_dbfs=level_dbfs, rate_hz=RATE_HZ, seed=3) for at in range(0, 48_000, 6_000)]
    assert np.array_equal(np.concatenate(parts), whole)
