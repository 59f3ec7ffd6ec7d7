"""The voices on a synth: what is sent and when, under the hand clock; and the clock that goes by where nothing sounds."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from live_rig import RATE_HZ, TENOR, Rig, short_score

from audio.devices.no_sound import NoSound
from trainer.live.desk import Desk
from trainer.live.synth import HIGH_BLOCK, LOW_BLOCK, PERCUSSION, SynthVoices

WRITTEN = [[n.pitch.midi for n in line.notes] for line in short_score().lines]


class PaperSynth:
    """Writes down what is sent, with the frame of the moment."""

    name = "paper"

    def __init__(self):
        self.frame = 0
        self.sent = []
        self.down = set()

    def note_on(self, midi, velocity, channel=0):
        self.sent.append((self.frame, "on", channel, midi, velocity))
        if channel != PERCUSSION:
            assert (channel, midi) not in self.down
            self.down.add((channel, midi))

    def note_off(self, midi, channel=0):
        self.sent.append((self.frame, "off", channel, midi, 0))
        self.down.discard((channel, midi))

    def program(self, number, channel=0):
        pass


def played(*cues, desk=None, pitch="none", down=lambda: (), seconds=9.0):
    rig = Rig(desk=desk or Desk(TENOR), pitch=pitch)
    link, player, begun = rig.link_and_player(np.zeros((1, 1), np.float32))
    synth, waiting = PaperSynth(), sorted(cues, key=lambda cue: cue[0])
    voices = SynthVoices(synth, rig.score, TENOR, 0, down)
    while link.write_until() < begun.music_frame + seconds * RATE_HZ:
        while waiting and link.write_until() >= begun.music_frame + waiting[0][0] * RATE_HZ:
            waiting.pop(0)[1](player)
        player.write(link)
        synth.frame = (link.write_until() - begun.music_frame) / RATE_HZ
        voices(player)
        link.advance(144)
    return synth


def ons(synth, channel):
    return [(round(at, 1), midi) for at, what, on, midi, _ in synth.sent if what == "on" and on == channel]


def test_three_voices_are_sent_on_time_and_the_own_is_not():
    synth = played()
    for line in (0, 1, 3):
        assert ons(synth, line) == [(float(k), midi) for k, midi in enumerate(WRITTEN[line])]
    assert ons(synth, TENOR) == []
    assert not synth.down
    late = [at - round(at) for at, what, channel, _, _ in synth.sent if what == "on" and channel != PERCUSSION]
    assert max(late) < 0.006


def test_bars_are_counted_on_the_wood_block_high_on_the_first_beat():
    synth = played()
    clicks = [(round(at, 1), midi) for at, what, channel, midi, _ in synth.sent if channel == PERCUSSION]
    assert clicks == [(-1.0, HIGH_BLOCK), (-0.5, LOW_BLOCK)]
    silent = played(desk=Desk(TENOR, click="silent"))
    assert not [one for one in silent.sent if one[2] == PERCUSSION]


def test_mutes_guide_and_louder_reach_the_synth():
    synth = played((1.5, lambda p: p.stand(replace(p.desk, muted=frozenset({0}), guide="full", louder=3))))
    assert len(ons(synth, 0)) == 2
    assert [midi for _, midi in ons(synth, TENOR)] == WRITTEN[TENOR][1:]
    velocities = [velocity for _, what, channel, _, velocity in synth.sent if what == "on" and channel == 3]
    assert velocities[-1] > velocities[0]


def test_a_pause_silences_the_synth_and_going_on_sounds_it_again():
    synth = played((1.2, lambda p: p.pause()), (3.0, lambda p: p.resume()), seconds=12)
    assert not [
        at for at, what, channel, _, _ in synth.sent if what == "on" and channel != PERCUSSION and 1.7 < at < 3.9
    ]
    assert [midi for _, midi in ons(synth, 0)][-2:] == WRITTEN[0][-2:]
    assert not synth.down


def test_chord_and_first_note_are_given():
    synth = played(pitch="chord")
    before = [midi for at, what, _, midi, _ in synth.sent if what == "on" and at < -1.2]
    assert sorted(set(before)) == sorted({line[0] for line in WRITTEN})


def test_keys_that_are_down_sound_on_the_own_channel():
    synth = played(down=lambda: (60,), seconds=1)
    assert ons(synth, TENOR)[0][1] == 60


def test_where_nothing_sounds_frames_go_by_the_clock():
    now = [5.0]
    link = NoSound(lambda: now[0])
    assert link.write_until() == 0
    now[0] = 6.5
    assert link.write_until() == 72_000
    assert link.read() == []
    assert link.play(0, np.zeros((4, 0), np.float32)) == 0
    assert link.flags().xruns == 0
    with link as opened:
        assert opened.alive
