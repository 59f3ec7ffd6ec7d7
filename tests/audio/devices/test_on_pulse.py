"""Links on a private PulseAudio with null sinks, through PortAudio's ALSA host."""

from __future__ import annotations

import time
from pathlib import Path

import numpy as np
import pytest
import servers
from real_links import cents_of, heard_for, joined, on_one_axis, save, tone

from audio.devices import SoundWish, found, open_sound
from audio.devices.microphone import call_rate_hz, only_zeros
from audio.devices.roundtrip import RoundTrip, measure
from audio.errors import DeviceError


@pytest.mark.parametrize("block_frames", [None, 256, 512])
def test_sound_goes_both_ways_at_any_block(pulse: servers.Server, tmp_path: Path, block_frames: int | None) -> None:
    recording = save(tmp_path / "sung.wav", tone(440 * 2 ** (30 / 1200), 4.0))
    with open_sound(SoundWish(block_frames=block_frames)) as link, servers.sung_through_pulse(pulse, recording):
        assert link.rate_hz == 48_000
        link.play(link.write_until() + 4_800, np.full((100_000, 2), 0.01, np.float32))
        blocks = heard_for(link, 1.3)
    assert on_one_axis(blocks)
    assert link.block_frames == (block_frames or 512)
    _, heard = joined(blocks, "mic1")
    assert abs(cents_of(heard[-24_000:], 440.0, 48_000) - 30) < 1
    assert np.allclose(joined(blocks, "played2")[1][-12_000:], 0.01, atol=1e-6)


@pytest.mark.parametrize("rate_hz", [44_100, 48_000])
def test_the_wanted_rate_is_taken(pulse: servers.Server, rate_hz: int) -> None:
    with open_sound(SoundWish(rate_hz=rate_hz)) as link:
        assert link.rate_hz == rate_hz
        blocks = heard_for(link, 0.5)
    assert all(block.rate_hz == rate_hz for block in blocks)


def test_a_loudspeaker_that_leaks_gives_the_round_trip_again_and_again(pulse: servers.Server) -> None:
    """On a busy machine the server itself moves the path by 10 ms now and then: 3 times in 50 beside three busy processes."""
    servers.leak_through_pulse(pulse)
    trips: list[RoundTrip] = []
    with open_sound() as link:
        heard_for(link, 1.5)  # the loop-back module finds its pace
        while len(trips) < 5 and not (len(trips) > 1 and _alike(*trips[-2:])):
            trip = measure(link)
            assert trip is not None
            trips.append(trip)
    assert _alike(*trips[-2:]), trips
    assert all(20 < trip.round_trip_ms < 400 for trip in trips)
    assert all(abs(trip.bleed_db or -99.0) < 1 for trip in trips)


def _alike(first: RoundTrip, second: RoundTrip) -> bool:
    return abs(first.round_trip_ms - second.round_trip_ms) < 1


def test_no_leak_no_round_trip(pulse: servers.Server) -> None:
    with open_sound() as link:
        assert measure(link) is None


def test_a_microphone_of_exact_zeros_is_seen_as_such(pulse: servers.Server) -> None:
    with open_sound() as link:
        blocks = heard_for(link, 1.0)
    assert only_zeros(np.concatenate([block.channel("mic1") for block in blocks]))


def test_a_headset_in_call_mode_is_seen_through_the_servers_own_rate(pulse: servers.Server, tmp_path: Path) -> None:
    """The server raises 8 kHz to its own 48 with its usual resampler, as it does for a wireless headset."""
    hiss = np.random.default_rng(4).standard_normal(8_000 * 5).astype(np.float32) * 0.01
    with open_sound() as link, servers.sung_through_pulse(pulse, save(tmp_path / "room.wav", hiss, 8_000)):
        assert link.rate_hz == 48_000
        blocks = heard_for(link, 2.0)
    heard = joined(blocks, "mic1")[1][-48_000:].astype(np.float32)
    assert np.std(heard) > 0.001
    assert call_rate_hz(heard, link.rate_hz) == 8_000


def test_an_unknown_device_is_refused_with_those_that_there_are(pulse: servers.Server) -> None:
    with pytest.raises(DeviceError, match="no microphone called nowhere") as caught:
        open_sound(SoundWish(input_name="nowhere"))
    assert "heldline_mic" in caught.value.where
    with pytest.raises(DeviceError, match="no sound output called nowhere"):
        open_sound(SoundWish(output_name="nowhere"))


def test_a_name_that_fits_several_is_refused(pulse: servers.Server) -> None:
    with pytest.raises(DeviceError, match="fits more than one microphone") as caught:
        open_sound(SoundWish(input_name="heldline"))
    assert "heldline_mic, heldline_out" in caught.value.where or "heldline_out, heldline_mic" in caught.value.where


def test_the_systems_own_choice_comes_first(pulse: servers.Server) -> None:
    here = found()
    assert (here.inputs[0].name, here.outputs[0].name) == ("default", "default")
    assert "heldline_mic" in {one.name for one in here.inputs}
    assert not any("sound" in sentence for sentence in here.missing)


def test_a_stream_that_is_moved_by_hand_hears_its_new_microphone_until_that_one_is_gone(pulse: servers.Server) -> None:
    """The server moves a stream by itself when its microphone is pulled out, and tells no program that came through ALSA."""
    second = servers.second_microphone(pulse)
    with open_sound(SoundWish(input_name="heldline_mic", channels_out=0)) as link:
        heard_for(link, 0.8)
        (stream,) = [
            line.split()[0]
            for line in pulse.run("pactl", "list", "short", "source-outputs").splitlines()
            if "protocol-native" in line
        ]
        pulse.run("pactl", "move-source-output", stream, "mic2")
        heard_for(link, 0.8)  # fails where the link is not alive
        first = pulse.run("pactl", "list", "short", "modules").split("\tmodule-remap-source")[0].split()[-1]
        pulse.run("pactl", "unload-module", first)  # which it left
        heard_for(link, 0.8)
        pulse.run("pactl", "unload-module", second)
        until = time.monotonic() + 3
        while link.alive and time.monotonic() < until:
            time.sleep(0.05)
        assert link.trouble == "the microphone has vanished"
