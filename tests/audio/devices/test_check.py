"""A check of pretended devices whose truth is known: every outcome that it can have."""

from __future__ import annotations

import numpy as np
import pytest
import soxr

from audio.devices.check import Checked, check
from audio.devices.fake import FakeSound, Flaw, Loopback
from audio.errors import DeviceError
from audio.units import hz_to_c100

RATE_HZ = 48_000
SECONDS = 12
HUM_FROM = 5.2
"""The check listens for a hum from about there on: room 1.2 s, chirps 3.4 s."""


def room(level: float = 0.001, seed: int = 2) -> np.ndarray:
    return (np.random.default_rng(seed).standard_normal(RATE_HZ * SECONDS) * level).astype(np.float32)


def hum(hertz: float, level: float = 0.1, *, begins: float = HUM_FROM) -> np.ndarray:
    """Somebody humming from *begins* on, with vibrato of 20 cents and twelve harmonics."""
    at = np.arange(RATE_HZ * SECONDS) / RATE_HZ
    phase = 2 * np.pi * hertz * (at + 0.0116 / 2 / np.pi / 5.5 * np.sin(2 * np.pi * 5.5 * at))
    sound = sum(np.sin(k * phase) / k for k in range(1, 13)) * level * (at > begins)
    return sound.astype(np.float32)


def checked(link: FakeSound, listen_seconds: float = 4.0) -> Checked:
    return check(link, listen_seconds=listen_seconds, wait=link.advance_seconds)


def test_perfect_silence_is_only_zeros() -> None:
    found = checked(FakeSound(), 1.0)
    assert found.only_zeros
    assert found.hummed is None
    assert found.round_trip.source == "assumed"


def test_a_quiet_room_is_nothing_and_no_zeros() -> None:
    found = checked(FakeSound(room()), 2.0)
    assert not found.only_zeros
    assert found.hummed is None
    assert found.call_rate_hz is None
    assert abs(found.room_dbfs + 64.8) < 1.5  # 0.001 of white noise to 24 kHz, a third of it between 80 Hz and 8 kHz


@pytest.mark.parametrize("hertz", [110.0, 196.0, 440.0])
def test_somebody_humming_is_heard_with_the_note(hertz: float) -> None:
    told: list[str] = []
    link = FakeSound(room() + hum(hertz))
    found = check(link, listen_seconds=4.0, wait=link.advance_seconds, tell=told.append)
    assert told == ["room", "chirps", "hum"]
    assert found.hummed is not None
    assert abs(found.hummed.pitch_c100 - hz_to_c100(hertz)) < 1_000
    assert found.hummed.steady
    assert not found.near_the_room
    assert not found.only_zeros


def test_a_glide_is_a_voice_that_is_not_steady() -> None:
    at = np.arange(RATE_HZ * SECONDS) / RATE_HZ
    phase = 2 * np.pi * np.cumsum(150 * 2 ** ((at - HUM_FROM) / 2)) / RATE_HZ
    sound = sum(np.sin(k * phase) / k for k in range(1, 10)) * 0.1 * (at > HUM_FROM)
    found = checked(FakeSound((room() + sound).astype(np.float32)))
    assert found.hummed is not None
    assert not found.hummed.steady


def test_a_voice_near_the_room_is_called_so() -> None:
    found = checked(FakeSound(room(0.02) + hum(220.0, 0.02)))
    assert found.hummed is not None
    assert found.near_the_room


def test_our_own_voices_are_heard_and_are_not_taken_for_the_singer() -> None:
    found = checked(FakeSound(room(), loopback=Loopback(768, 0.1)), 2.0)
    assert found.hummed is None
    assert found.round_trip.source == "measured"
    assert abs(found.round_trip.round_trip_ms - 16.0) < 0.1
    assert found.round_trip.bleed_db is not None


def test_what_the_room_hums_by_itself_is_nobody() -> None:
    found = checked(FakeSound(room() + hum(100.0, 0.03, begins=0.0)), 2.0)
    assert found.hummed is None


def test_a_singer_over_the_rooms_own_hum_is_heard() -> None:
    found = checked(FakeSound(room() + hum(100.0, 0.003, begins=0.0) + hum(330.0, 0.1)))
    assert found.hummed is not None
    assert abs(found.hummed.pitch_c100 - hz_to_c100(330.0)) < 1_000


def test_a_call_quality_microphone_is_recognised() -> None:
    narrow = np.random.default_rng(2).standard_normal(8_000 * SECONDS) * 0.003
    found = checked(FakeSound(soxr.resample(narrow, 8_000, RATE_HZ).astype(np.float32)), 1.0)
    assert found.call_rate_hz == 8_000


def test_a_microphone_without_any_output_is_checked_alone() -> None:
    told: list[str] = []
    link = FakeSound(room() + hum(220.0, begins=1.5), channels_out=0)
    found = check(link, listen_seconds=4.0, wait=link.advance_seconds, tell=told.append)
    assert told == ["room", "hum"]
    assert found.hummed is not None


def test_lost_sound_is_counted() -> None:
    found = checked(FakeSound(room(), flaws={20_000: Flaw(480)}), 1.0)
    assert (found.lost_frames, found.xruns) == (480, 1)


def test_a_microphone_pulled_out_is_an_error_with_its_name() -> None:
    link = FakeSound(room())

    def wait(seconds: float) -> None:
        link.advance_seconds(seconds)
        if len(link.left()) > RATE_HZ // 2:
            link.vanish("the device is gone")

    with pytest.raises(DeviceError, match="gone") as caught:
        check(link, wait=wait)
    assert caught.value.where == "pretend microphone"
