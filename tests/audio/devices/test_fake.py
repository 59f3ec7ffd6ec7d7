"""The pretended link keeps to the same contract as the real one."""

from __future__ import annotations

import numpy as np
import pytest

from audio.devices import SoundLink
from audio.devices.fake import FakeSound, Flaw, Loopback
from audio.devices.keys_link import FakeKeys, KeyMoved, KeysLink


def test_a_fake_is_a_link() -> None:
    link: SoundLink = FakeSound()
    keys: KeysLink = FakeKeys()
    with link, keys:
        assert link.alive
        assert keys.alive
    assert not link.alive
    assert not keys.alive


def test_what_is_played_comes_back_later_and_softer() -> None:
    link = FakeSound(block_frames=64, loopback=Loopback(100, 0.5))
    link.play(0, np.tile(np.array([[0.25, 0.5]], np.float32), (64, 1)))
    link.advance(256)
    heard = np.concatenate([block.channel("mic1") for block in link.read()])
    assert not np.any(heard[:100])
    assert np.allclose(heard[100:164], 0.375)
    assert not np.any(heard[164:])


def test_any_block_size_gives_the_same_microphone() -> None:
    sound = np.random.default_rng(3).standard_normal(5_000).astype(np.float32) * 0.1
    heard = []
    for size in (64, 113, 1_024):
        link = FakeSound(sound, block_frames=size, loopback=Loopback(300, 0.3))
        link.play(500, np.full((800, 2), 0.2, np.float32))
        link.advance(6_000)
        heard.append(np.concatenate([block.samples for block in link.read()]))
    assert np.array_equal(heard[0], heard[1])
    assert np.array_equal(heard[0], heard[2])


def test_a_flaw_stands_in_the_blocks_and_in_the_flags() -> None:
    link = FakeSound(flaws={512: Flaw(100, underflow=True)})
    link.advance(1_100)
    assert [(block.start_frame, block.lost_frames_before) for block in link.read()][:3] == [
        (0, 0),
        (256, 0),
        (612, 100),
    ]
    flags = link.flags()
    assert (flags.overflows, flags.underflows, flags.lost_frames, flags.last_flagged_frame) == (1, 1, 100, 512)


def test_late_sound_does_not_sound() -> None:
    link = FakeSound()
    link.advance(256)
    assert link.play(0, np.full((300, 2), 0.5, np.float32)) == 256
    link.advance(256)
    assert not np.any(link.left()[:256])
    assert np.all(link.left()[256:300] == 0.5)
    with pytest.raises(ValueError, match="further ahead"):
        link.play(link.write_until() + link.room_frames, np.zeros((1, 2), np.float32))


def test_nothing_happens_after_it_has_vanished() -> None:
    link = FakeSound()
    link.advance(256)
    link.vanish()
    link.advance(256)
    assert sum(len(block.samples) for block in link.read()) == 256
    assert link.trouble


def test_pressed_keys_are_read_once() -> None:
    keys = FakeKeys()
    keys.press(KeyMoved(1.0, 60, 64))
    assert [move.down for move in keys.read()] == [True]
    assert keys.read() == []
