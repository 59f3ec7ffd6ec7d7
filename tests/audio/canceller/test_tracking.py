"""A pitch line behind the canceller: the singer's, and nobody's where only our own leavings sound."""

from __future__ import annotations

import numpy as np
import pytest
from loudspeaker_room import Setup, level_db, soft_noise, tone, voices

from audio.block import Block
from audio.canceller.learn import found_delay, learnt
from audio.canceller.path import EchoPath
from audio.canceller.stage import Canceller
from audio.canceller.tracking import CancellingTracker
from audio.devices.swell import swell
from audio.heard import NO_ECHO_DB10, PitchFrame
from audio.pitch import DEFAULT_TRACKER, TRACKERS
from audio.units import RATE_HZ, c100_to_hz

ROOM = Setup(seed=31)
SUNG_HZ = 311.13


def learnt_at(setup: Setup) -> EchoPath:
    wave = np.concatenate([swell(RATE_HZ).astype(float), np.zeros(RATE_HZ // 2)])
    heard = setup.at_microphone(wave) + soft_noise(len(wave), RATE_HZ, seed=99, dbfs=-64.0)
    delay = found_delay(wave, heard, RATE_HZ)
    assert delay is not None
    return learnt(wave, heard, delay)


def take(room: Setup, *, seconds: float):
    """Heard and played: three voices out of the loudspeaker, somebody as loud as they for each second half of a second."""
    played = voices(seconds, RATE_HZ, seed=3) * 10 ** (-24 / 20)
    echo = room.at_microphone(played)
    note = np.concatenate([np.zeros(RATE_HZ // 2), tone(SUNG_HZ, 0.5, RATE_HZ, seed=4, vibrato_cents=15)])
    sung = np.tile(note, int(np.ceil(seconds)))[: len(echo)] * 10 ** (level_db(echo) / 20)
    return echo + sung + soft_noise(len(echo), RATE_HZ, seed=5, dbfs=-64.0), played


def line(heard, played, path: EchoPath, *, block_frames: int = 4_096) -> list[PitchFrame]:
    tracker = CancellingTracker(Canceller(path=path), TRACKERS.load("audio.pitch")[DEFAULT_TRACKER])
    table = np.stack([heard, played], axis=1).astype(np.float32)
    out = []
    for begin in range(0, len(table), block_frames):
        out += tracker.feed(Block(table[begin : begin + block_frames].copy(), ("mic1", "played1"), begin, RATE_HZ))
    return [one for one in out + tracker.flush() if isinstance(one, PitchFrame)]


def test_the_pitch_line_does_not_depend_on_how_the_sound_was_cut():
    heard, played = take(ROOM.moved(-15), seconds=1.2)
    path = learnt_at(ROOM)
    whole = line(heard, played, path)
    assert any(frame.echo_db10 > NO_ECHO_DB10 + 1 for frame in whole)
    for block_frames in (512, 3_001):
        assert line(heard, played, path, block_frames=block_frames) == whole


def test_beside_a_room_that_was_changed_the_singer_is_heard_and_the_loudspeaker_is_not():
    heard, played = take(ROOM.moved(-15), seconds=5)
    frames = [frame for frame in line(heard, played, learnt_at(ROOM)) if frame.centre_frame > RATE_HZ]
    place = {frame.centre_frame: (frame.centre_frame / RATE_HZ) % 1.0 for frame in frames}
    sung = [frame for frame in frames if 0.56 < place[frame.centre_frame] < 0.94]
    silent = [frame for frame in frames if 0.06 < place[frame.centre_frame] < 0.44]
    near = [f for f in sung if f.voiced and abs(1200 * np.log2(c100_to_hz(f.f0_c100) / SUNG_HZ)) < 50]
    assert len(near) > 0.97 * len(sung)
    assert sum(frame.voiced for frame in silent) < 0.03 * len(silent)


@pytest.mark.parametrize("known", [False, True])
def test_a_tone_that_is_known_to_be_somebody_elses_is_not_heard(known):
    theirs, own = tone(196.0, 0.5, RATE_HZ, seed=1), tone(SUNG_HZ, 0.5, RATE_HZ, seed=2) * 0.2
    spectrum = np.zeros(448)
    harmonics = np.arange(1, 26) * 196.0 * 2_048 / RATE_HZ
    for away in range(-3, 4):
        spectrum[np.rint(harmonics).astype(int) + away] = 1e-2

    def besides(centres):
        return np.tile(spectrum, (len(centres), 1)) if known else None

    sound = ((theirs + own) * 0.05).astype(np.float32)
    tracker = TRACKERS.load("audio.pitch")[DEFAULT_TRACKER](besides=besides)
    frames = tracker.feed(Block(sound[:, None], ("mic1",), 0, RATE_HZ)) + tracker.flush()
    middle = [c100_to_hz(f.f0_c100) for f in frames if isinstance(f, PitchFrame)][30:70]
    assert np.median(middle) == pytest.approx(SUNG_HZ if known else 196.0, rel=0.01)


def test_a_singer_in_unison_with_a_played_voice_and_much_softer_is_heard_all_through():
    root, seconds = 196.0, 2.5
    played = sum(
        tone(root * by, seconds, RATE_HZ, seed=seed, vibrato_cents=10) for seed, by in enumerate((1, 1.25, 1.5))
    )
    played = played * 10 ** (-24 / 20) / np.std(played)
    echo = ROOM.at_microphone(played)
    sung = np.roll(tone(root * 2 ** (2 / 1200), seconds, RATE_HZ, seed=4), RATE_HZ // 4) * 10 ** (
        (level_db(echo) - 10) / 20
    )
    heard = echo + sung + soft_noise(len(echo), RATE_HZ, seed=5, dbfs=-64.0)
    frames = [f for f in line(heard, played, learnt_at(ROOM)) if 0.5 < f.centre_frame / RATE_HZ < 2.4]
    near = [f for f in frames if f.voiced and abs(1200 * np.log2(c100_to_hz(f.f0_c100) / root)) < 50]
    assert len(near) > 0.97 * len(frames)
