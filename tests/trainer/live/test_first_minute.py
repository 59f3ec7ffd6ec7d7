"""The first minute on the pretend link: who hums what, and whether our own voices come back."""

from __future__ import annotations

import numpy as np
import pytest
import simulated_singer
import slips
from live_rig import RATE_HZ, SETTINGS, TENOR, short_score

from audio.devices.fake import FakeSound, Loopback
from audio.heard import PitchFrame
from trainer.live.first_minute import HUM_SECONDS, NOTE_MIDI, NOTE_SECONDS, bleed, hum, steady
from trainer.live.watch import PERFECT_SILENCE

ROOM = 10 ** (-66 / 20)


def room(seconds=14.0, seed=4):
    return (np.random.default_rng(seed).standard_normal(round(seconds * RATE_HZ)) * ROOM).astype(np.float32)


def hummed(midi, *, at_s=3.0, length_s=1.5, sex="men", loopback=None):
    sung = (slips.SungNote(0, at_s, at_s + length_s, float(midi)),)
    sound = simulated_singer.sing(sung, seed=3, seconds=14, throat=simulated_singer.Throat(sex)).samples
    return FakeSound(sound.astype(np.float32), rate_hz=RATE_HZ, loopback=loopback)


@pytest.mark.parametrize(
    ("midi", "octaves", "sex"), [(57, 0, "men"), (45, -1, "men"), (69, 1, "women"), (55, 0, "men"), (47, -1, "men")]
)
def test_a_hum_is_heard_at_its_pitch_and_in_its_octave(midi, octaves, sex):
    link = hummed(midi, sex=sex)
    heard = hum(link, link.advance_seconds)
    assert (heard.midi, heard.octaves) == (midi, octaves)
    assert abs(heard.pitch_c100 - midi * 10_000) < 1_500
    assert link.write_until() < 5 * RATE_HZ


def test_the_note_is_sounded_softly_and_is_the_one_named():
    link = hummed(57)
    hum(link, link.advance_seconds)
    sound = link.left()[:, 0]
    assert np.abs(sound).max() <= 0.5
    part = np.abs(np.fft.rfft(sound[RATE_HZ // 2 : RATE_HZ // 2 + RATE_HZ]))
    assert abs(int(np.argmax(part)) - 440 * 2 ** ((NOTE_MIDI - 69) / 12)) < 1


def test_our_own_note_from_the_loudspeaker_is_no_hum():
    link = FakeSound(room(), rate_hz=RATE_HZ, loopback=Loopback(2_000, 1.0))
    assert hum(link, link.advance_seconds).midi is None


def test_a_room_is_no_hum_and_the_wait_has_an_end():
    link = FakeSound(room(), rate_hz=RATE_HZ)
    heard = hum(link, link.advance_seconds)
    assert (heard.pitch_c100, heard.zeros) == (None, "")
    assert link.write_until() < (NOTE_SECONDS + HUM_SECONDS + 1) * RATE_HZ


def test_exact_zeros_are_told():
    link = FakeSound(np.zeros((1, 1), np.float32), rate_hz=RATE_HZ)
    assert hum(link, link.advance_seconds).zeros == PERFECT_SILENCE


def test_a_link_that_vanishes_ends_the_wait():
    link = FakeSound(room(), rate_hz=RATE_HZ)
    passed = []

    def wait(seconds):
        passed.append(seconds)
        link.advance_seconds(seconds)
        if len(passed) == 40:
            link.vanish()

    assert hum(link, wait).midi is None
    assert len(passed) == 40


@pytest.mark.parametrize(("gain", "heard"), [(1.0, True), (0.1, True), (0.001, False)])
def test_our_voices_are_heard_by_the_microphone_or_not(gain, heard):
    link = FakeSound(room(), rate_hz=RATE_HZ, loopback=Loopback(2_000, gain))
    told = bleed(link, short_score(), TENOR, SETTINGS, 2_000, link.advance_seconds)
    assert told.heard is heard
    assert told.room_dbfs == pytest.approx(-66, abs=2)


def frames(pitches, *, voiced=True, confidence=950):
    return [PitchFrame(0, 120 * k, pitch, 3, voiced, confidence, -200) for k, pitch in enumerate(pitches)]


def test_only_half_a_second_of_one_clear_pitch_is_steady():
    assert steady(frames([570_000] * 100)) == 570_000
    assert steady(frames([570_000] * 99)) is None
    assert steady(frames([570_000] * 100, voiced=False)) is None
    assert steady(frames([570_000] * 100, confidence=500)) is None
    assert steady(frames([570_000 + 200 * k for k in range(100)])) is None
    assert steady([]) is None
