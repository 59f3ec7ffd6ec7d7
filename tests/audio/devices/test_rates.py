"""Which rates are asked of devices, and which are refused before any device is asked."""

from __future__ import annotations

import pytest

from audio.devices._choice import Device
from audio.devices._streams import rates
from audio.devices.link import SoundWish
from audio.errors import SettingError


def device(rate_hz: int, host: str = "Core Audio") -> Device:
    return Device(0, "card", host, 2, rate_hz)


def test_the_wanted_rate_comes_first_then_the_devices_own() -> None:
    assert rates(16_000, device(44_100), device(96_000))[:3] == [16_000, 96_000, 44_100]


def test_a_device_that_prefers_more_than_we_can_hold_is_asked_for_less() -> None:
    assert max(rates(None, device(384_000))) <= 192_000


@pytest.mark.parametrize("rate_hz", [0, 3_999, 192_001, 384_000])
def test_a_rate_that_nobody_sings_at_is_refused_in_words(rate_hz: int) -> None:
    with pytest.raises(SettingError, match="44100 or 48000"):
        SoundWish(rate_hz=rate_hz)
