"""The round trip on a pretended link, where the truth is known."""

from __future__ import annotations

import numpy as np
import pytest

from audio.devices.fake import FakeSound, Flaw, Loopback
from audio.devices.roundtrip import ALIKE, CHIRP_HZ, CHIRP_PEAK, STARTS_SECONDS, chirp, measure, unmeasured
from audio.errors import DeviceError

SECONDS = 12


def noise(level: float, seed: int = 1, rate_hz: int = 48_000) -> np.ndarray:
    return (np.random.default_rng(seed).standard_normal(rate_hz * SECONDS) * level).astype(np.float32)


@pytest.mark.parametrize("rate_hz", [48_000, 44_100, 96_000, 16_000])
@pytest.mark.parametrize("delay_ms", [0.0, 5.3, 16.0, 138.0, 700.0])
def test_a_delay_is_found_to_a_tenth_of_a_millisecond(rate_hz: int, delay_ms: float) -> None:
    frames = round(delay_ms * rate_hz / 1000)
    link = FakeSound(noise(0.001, rate_hz=rate_hz), rate_hz=rate_hz, loopback=Loopback(frames, 0.1))
    found = measure(link, link.advance_seconds)
    assert found is not None
    assert found.source == "measured"
    assert abs(found.round_trip_ms - frames * 1000 / rate_hz) < 0.1
    assert found.spread_ms < 0.3
    assert abs(found.bleed_db - 20 * np.log10(0.2)) < 0.5  # two outputs sum at the microphone, each at 0.1


def test_the_same_delay_is_found_again() -> None:
    link = FakeSound(noise(0.002), loopback=Loopback(777, 0.05))
    first, second = (measure(link, link.advance_seconds) for _ in range(2))
    assert first is not None
    assert second is not None
    assert abs(first.round_trip_ms - second.round_trip_ms) < 0.1


def test_soft_leaking_is_found_and_called_soft() -> None:
    link = FakeSound(noise(0.0002), loopback=Loopback(900, 0.005))
    found = measure(link, link.advance_seconds)
    assert found is not None
    assert found.frames(48_000) == 900
    assert abs(found.bleed_db + 40) < 1


def test_noise_alone_is_never_a_round_trip() -> None:
    rng = np.random.default_rng(5)
    for _ in range(15):
        link = FakeSound(noise(float(rng.uniform(0.001, 0.3)), int(rng.integers(1 << 30))))
        assert measure(link, link.advance_seconds) is None


def test_noise_is_far_from_being_like_a_chirp() -> None:
    rng = np.random.default_rng(6)
    one = chirp(48_000).astype(np.float64)
    reached = []
    for _ in range(200):
        window = rng.standard_normal(len(one) + 3_840)
        across = np.abs(np.correlate(window, one, "valid"))
        energy = np.sqrt(np.convolve(window**2, np.ones(len(one)), "valid") * (one @ one))
        reached.append(float(np.max(across / energy)))
    assert max(reached) < ALIKE - 0.1, max(reached)


def test_somebody_singing_meanwhile_is_no_round_trip() -> None:
    at = np.arange(48_000 * SECONDS) / 48_000
    sung = sum(np.sin(2 * np.pi * 220 * k * at + 3 * k * np.sin(2 * np.pi * 5 * at)) / k for k in range(1, 20)) * 0.1
    link = FakeSound(sung.astype(np.float32))
    assert measure(link, link.advance_seconds) is None


def test_a_perfectly_silent_microphone_hears_nothing() -> None:
    link = FakeSound()
    assert measure(link, link.advance_seconds) is None


class _Moving(FakeSound):
    """The way back grows longer all the time."""

    def advance(self, frames: int) -> None:
        self._loopback = Loopback(500 + len(self.left()) // 200, 0.5)
        super().advance(frames)


def test_a_delay_that_moves_is_refused_with_how_far() -> None:
    link = _Moving(noise(0.0005))
    with pytest.raises(DeviceError, match=r"moved by \d+ ms") as caught:
        measure(link, link.advance_seconds)
    assert "wired" in caught.value.do


def test_lost_sound_meanwhile_does_not_spoil_the_delay() -> None:
    flaws = {14_000 + round(STARTS_SECONDS[1] * 48_000) + 2_000: Flaw(300, underflow=True)}
    link = FakeSound(noise(0.0005), loopback=Loopback(640, 0.2), flaws=flaws)
    found = measure(link, link.advance_seconds)
    assert found is not None
    assert found.frames(48_000) == 640


def test_a_device_that_vanishes_meanwhile_is_told() -> None:
    link = FakeSound()

    def wait(seconds: float) -> None:
        link.advance_seconds(seconds)
        if len(link.left()) > 48_000:
            link.vanish()

    with pytest.raises(DeviceError, match="gone"):
        measure(link, wait)


def test_several_microphones_count_by_the_loudest() -> None:
    link = FakeSound(np.stack([noise(0.0001), noise(0.0001, 2)], axis=1), loopback=Loopback(250, 0.5))
    found = measure(link, link.advance_seconds)
    assert found is not None
    assert found.frames(48_000) == 250


def test_the_chirps_are_soft_and_at_uneven_distances() -> None:
    one = chirp(48_000)
    assert np.max(np.abs(one)) <= CHIRP_PEAK < 10 ** (-20 / 20)
    assert abs(one[0]) < 1e-3
    assert abs(one[-1]) < 1e-3
    power = np.abs(np.fft.rfft(one)) ** 2
    hertz = np.fft.rfftfreq(len(one), 1 / 48_000)
    inside = (hertz > CHIRP_HZ[0] / 1.5) & (hertz < CHIRP_HZ[1] * 1.5)
    assert power[inside].sum() > 0.999 * power.sum()
    apart = sorted(b - a for i, a in enumerate(STARTS_SECONDS) for b in STARTS_SECONDS[i + 1 :])
    assert min(np.diff(apart)) >= 0.01


def test_what_was_not_measured_says_so() -> None:
    assert unmeasured(FakeSound(reported_round_trip_frames=480)).source == "reported"
    assert unmeasured(FakeSound(reported_round_trip_frames=480)).round_trip_ms == 10.0
    assert unmeasured(FakeSound()).source == "assumed"
