"""Several pretend microphones, each with a crystal of its own, under one hand clock: one axis, and nobody lost with another."""

from __future__ import annotations

import itertools

import numpy as np

from audio.block import Block
from audio.devices.fake import FakeSound, Flaw
from audio.devices.finding import SoundDevice
from audio.devices.link import SoundWish
from audio.devices.side_by_side import Place, SideBySide, one_opening_each

RATE_HZ = 48_000
HERTZ = 440.0
CLICKS_S = tuple(range(3, 60, 4))


class Desk:
    """An output and two microphones of one channel each under one clock; by the true clock both hear the same."""

    def __init__(
        self, ppms: tuple[float, float] = (100.0, -100.0), *, latencies=(None, None), seconds=20.0, **more
    ) -> None:
        self.axis = FakeSound(np.zeros((0, 0), np.float32), block_frames=512)
        self.ears = [
            FakeSound(
                heard(ppm, rate_hz, seconds),
                rate_hz=rate_hz,
                block_frames=block,
                channels_out=0,
                clock_ppm=ppm,
                reported_round_trip_frames=latency,
                **more,
            )
            for ppm, rate_hz, block, latency in zip(ppms, (RATE_HZ, 44_100), (480, 256), latencies, strict=True)
        ]
        self.link = SideBySide(self.axis, self.ears, [Place(0, 1), Place(1, 1)])

    def run(self, seconds: float) -> list[Block]:
        found: list[Block] = []
        for _ in range(round(seconds / 0.02)):
            for one in (self.axis, *self.ears):
                one.advance_seconds(0.02)
            found += self.link.read()
        return found


def heard(ppm: float, rate_hz: int, seconds: float) -> np.ndarray:
    """A tone, and a click every four seconds, as a device samples them whose crystal is so far off."""
    at = np.arange(round(seconds * rate_hz)) / (rate_hz * (1 + ppm * 1e-6))
    sound = 0.1 * np.sin(2 * np.pi * HERTZ * at)
    for click in CLICKS_S:
        sound += 0.8 * np.exp(-0.5 * ((at - click) / 0.0003) ** 2)
    return sound.astype(np.float32)


def joined(blocks: list[Block], name: str) -> np.ndarray:
    assert all(before.end_frame == block.start_frame for before, block in itertools.pairwise(blocks))
    return np.concatenate([block.channel(name) for block in blocks])


def clicks_ms(blocks: list[Block], name: str) -> np.ndarray:
    """When each click came, in milliseconds of the axis."""
    sound, start = joined(blocks, name), blocks[0].start_frame
    times = []
    for click in CLICKS_S:
        at = click * RATE_HZ - start
        if 4_800 < at < len(sound) - 4_800:
            times.append((start + at - 4_800 + int(np.argmax(sound[at - 4_800 : at + 4_800]))) * 1000 / RATE_HZ)
    return np.array(times)


def cents_off(sound: np.ndarray) -> float:
    """How far the tone is from 440 Hz, by its phase over half a second and over the next."""
    size = RATE_HZ // 2
    turn = np.exp(-2j * np.pi * HERTZ * np.arange(size) / RATE_HZ) * np.hanning(size)
    first, second = np.sum(sound[:size] * turn), np.sum(sound[size : 2 * size] * turn)
    expected = np.exp(-2j * np.pi * HERTZ * size / RATE_HZ)
    hertz_off = np.angle(second / first * np.conj(expected)) / (2 * np.pi * size / RATE_HZ)
    return 1200 * float(np.log2(1 + hertz_off / HERTZ))


def test_two_crystals_two_hundred_ppm_apart_hear_one_click_at_one_frame_and_one_pitch() -> None:
    """Left alone they would be 8 ms apart after 40 s, and a third of a cent out of tune."""
    blocks = Desk(seconds=42.0).run(42.0)
    first, second = clicks_ms(blocks, "mic1"), clicks_ms(blocks, "mic2")
    assert len(first) >= 9
    assert np.max(np.abs(first - second)) < 1.0, (first, second)
    assert abs((first[-1] - first[0]) - 4_000 * (len(first) - 1)) < 0.5
    for name in ("mic1", "mic2"):
        sound = joined(blocks, name).astype(np.float64)
        assert abs(cents_off(sound[30 * RATE_HZ - blocks[0].start_frame :])) < 0.1


def test_what_the_slower_device_says_of_its_delay_is_made_good() -> None:
    """The second hears 60 ms later than the first, and says so: a click arrives 60 ms later in its sound."""
    desk = Desk((0.0, 0.0), latencies=(480, 441 * 7))
    late = np.zeros((round(0.06 * 44_100), 1), np.float32)
    desk.ears[1]._microphone = np.concatenate([late, desk.ears[1]._microphone])
    blocks = desk.run(12.0)
    first, second = clicks_ms(blocks, "mic1"), clicks_ms(blocks, "mic2")
    assert len(first) >= 2
    assert np.max(np.abs(first - second)) < 0.3, (first, second)
    desk.axis.reported_round_trip_frames = 960
    assert desk.link.reported_round_trip_frames == 960 + 480 * 7


def test_a_device_that_vanishes_is_silent_and_named_and_the_others_go_on() -> None:
    desk = Desk((0.0, 0.0))
    before = desk.run(6.0)
    desk.ears[1].vanish()
    after = desk.run(4.0)
    assert desk.link.alive
    gone = desk.link.vanished()
    assert list(gone) == ["mic2"]
    assert gone["mic2"].device == "pretend microphone"
    assert abs(gone["mic2"].frame - 6 * RATE_HZ) < 0.05 * RATE_HZ
    assert len(joined([*before, *after], "mic1")) > 9.9 * RATE_HZ - before[0].start_frame
    assert all(block.lost_frames_before == 0 for block in after)
    sound = joined(after, "mic2")
    assert not sound[gone["mic2"].frame - after[0].start_frame :].any()
    assert np.std(joined(after, "mic1")) > 0.06
    desk.ears[0].vanish()
    assert not desk.link.alive
    assert desk.link.trouble == "every microphone has vanished"


def test_an_output_that_vanishes_ends_the_link() -> None:
    desk = Desk((0.0, 0.0))
    desk.run(2.0)
    desk.axis.vanish("the loudspeaker is gone")
    assert not desk.link.alive
    assert desk.link.trouble == "the loudspeaker is gone"


def test_sound_lost_in_one_device_is_a_gap_for_all_and_flagged() -> None:
    """Nobody may take it for silence, and what is judged against each other wants all of them."""
    desk = Desk((0.0, 0.0), flaws={5 * RATE_HZ: Flaw(lost_frames=4_800)})
    blocks = desk.run(9.0)
    gaps = [block.lost_frames_before for block in blocks if block.lost_frames_before]
    assert 1 <= len(gaps) <= 2  # the two lose it at moments of their own: their rates differ
    there = 4_800 + 4_800 * RATE_HZ // 44_100
    assert there <= sum(gaps) <= there + 4 * 60  # and what the interpolation reaches over
    flags = desk.link.flags()
    assert flags.overflows == 2
    assert flags.last_flagged_frame is not None
    ends = [block.end_frame for block in blocks]
    assert [block.start_frame - block.lost_frames_before for block in blocks[1:]] == ends[:-1]


def test_the_microphones_come_in_the_order_asked_for_from_any_channel_of_any_device() -> None:
    axis = FakeSound(np.zeros((0, 0), np.float32))
    one = FakeSound(np.full((10 * RATE_HZ, 2), (0.1, 0.2), np.float32), channels_out=0)
    two = FakeSound(np.full((10 * RATE_HZ, 1), 0.3, np.float32), channels_out=0)
    link = SideBySide(axis, [one, two], [Place(0, 2), Place(1, 1), Place(0, 1)])
    found: list[Block] = []
    for _ in range(100):
        for device in (axis, one, two):
            device.advance_seconds(0.02)
        found += link.read()
    assert link.channels_in == 3
    assert found[0].channels == ("mic1", "mic2", "mic3", "played1", "played2")
    middle = found[len(found) // 2].samples[0]
    assert np.allclose(middle, (0.2, 0.3, 0.1, 0, 0), atol=1e-3)


def test_what_is_laid_sounds_on_the_one_output() -> None:
    desk = Desk((0.0, 0.0))
    tone = np.full((480, 2), 0.25, np.float32)
    desk.run(2.0)
    at = desk.link.write_until() + 9_600
    assert desk.link.play(at, tone) == 0
    played = joined(blocks := desk.run(2.0), "played1")
    assert np.flatnonzero(played)[0] == at - blocks[0].start_frame


def test_a_device_asked_for_by_number_and_by_name_is_opened_once_with_all_its_channels() -> None:
    there = [SoundDevice(name, "ALSA", 4, RATE_HZ) for name in ("Desk mic", "Stand mic", "Stand mic", "Old one")]
    wishes = [
        SoundWish(input_number=1, channels_out=0),
        SoundWish(input_number=3, channels_out=0),  # called as the one before it, and another device
        SoundWish(input_name="desk", channels_in=3, channels_out=0),
        SoundWish(input_name="Stand mic", channels_out=0),
        SoundWish(input_name="nowhere", channels_out=0),
        SoundWish(input_name="nowhere to be found", channels_out=0),
    ]
    kept, places = one_opening_each(wishes, [Place(device, 1) for device in range(6)], there)
    assert kept == [SoundWish(input_number=1, channels_in=3, channels_out=0), wishes[1], *wishes[3:]]
    assert [place.device for place in places] == [0, 1, 0, 2, 3, 4]
