"""Keyed takes on the pretend link with pretend keys: when a key lies, what is told of each beat, what sounds."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from live_rig import RATE_HZ, SETTINGS, TENOR, short_score

from audio.block import Block
from audio.devices.fake import FakeSound
from audio.devices.keys_link import FakeKeys, KeyMoved
from trainer.live.delay import Delay
from trainer.live.desk import Desk
from trainer.live.hand import LinkClock, MidiHand, NumberRow
from trainer.live.keep import run_take
from trainer.live.keytake import KeyTake
from trainer.live.player import Player
from trainer.live.stems import Stems
from trainer.live.take import laid
from trainer.places import places as own_places
from trainer.practice.beside import UNKNOWN
from trainer.score.naming import degree_number
from trainer.takes.keeping import judge_again, open_store

WRITTEN = [n.pitch.midi for n in short_score().lines[TENOR].notes]


def take(presses, *, desk=None, settings=SETTINGS, places=None, hand_of=None, delay=None, latency_frames=0, at=None):
    """*presses* are (second of the music, key, velocity, 0 for a release); the keyed take and what left."""
    score = short_score()
    link = FakeSound(np.zeros((1, 1), np.float32), rate_hz=RATE_HZ, block_frames=128)
    player = Player(Stems(score, TENOR, settings, 0, RATE_HZ), desk or Desk(TENOR))
    player.write(link)
    begun = player.begin(count_in_bars=1, pitch="none")
    where = laid(begun, player, delay or Delay(0, "measured", RATE_HZ), settings)
    keys, clock = FakeKeys(), LinkClock(RATE_HZ, 128)
    hand = hand_of(score, link) if hand_of else MidiHand(keys, link, clock, latency_frames=latency_frames)
    waiting = sorted(presses)
    beats, told_at = [], []

    def between():
        while waiting and link.write_until() >= begun.music_frame + waiting[0][0] * RATE_HZ:
            second, midi, velocity = waiting.pop(0)
            if hand_of:
                hand.type(midi)
            else:
                keys.press(KeyMoved(begun.music_frame / RATE_HZ + second, midi, velocity))
        if at is not None:
            at(link, player, keyed, keys, begun)
        link.advance(128)

    def over(event):
        beats.append(event.verdict)
        told_at.append(link.write_until() - begun.music_frame)

    keyed = KeyTake(link, player, where, between, hand, clock)
    performance, end = run_take(
        keyed, where, score, (TENOR,), places=places, tell=print, listen=over, beside=lambda: UNKNOWN
    )
    return performance.takes[0], beats, told_at, link, begun, end(), hand


def as_written(**changed):
    """Every note pressed on its beat and released as the next begins; changed by index: (delay, midi) or None for left out."""
    presses = []
    for k, midi in enumerate(WRITTEN):
        late, key = changed.get(f"n{k}", (0.0, midi)) or (None, None)
        if key is not None:
            presses += [(k + late, key, 64), (k + 0.98, key, 0)]
    return presses


def signs(keyed):
    return [note.sign.value for note in keyed.notes]


def test_a_line_keyed_as_written_is_held_and_each_beat_is_told_while_it_runs():
    keyed, beats, told_at, *_ = take(as_written())
    assert signs(keyed) == ["held"] * 4
    assert [b.sign.value for b in beats] == ["held"] * 8
    for k, told in enumerate(told_at[:-1]):
        assert 0 <= told / RATE_HZ - (k + 1) * 0.5 < 0.1


def test_wrong_late_and_missing_keys_are_each_named():
    keyed, beats, *_ = take(as_written(n1=(0.0, WRITTEN[1] + 1), n2=(0.2, WRITTEN[2]), n3=None))
    assert signs(keyed) == ["held", "off", "late", "silent"]
    assert [b.sign.value for b in beats] == [b.sign.value for b in keyed.beats]


def test_legato_overlap_is_no_extra_note():
    presses = [(k, midi, 64) for k, midi in enumerate(WRITTEN)]
    presses += [(k + 1.15, midi, 0) for k, midi in enumerate(WRITTEN)]
    keyed, *_ = take(presses)
    assert signs(keyed) == ["held"] * 4
    assert keyed.extra == ()


def test_a_key_that_is_never_let_go_is_held_to_the_end_and_a_beat_is_told_before():
    presses = [(k, midi, 64) for k, midi in enumerate(WRITTEN)]  # no release at all
    keyed, _beats, told_at, *_ = take(presses)
    assert signs(keyed) == ["held"] * 4
    assert told_at[0] < RATE_HZ
    assert max(note.end_s for note in keyed.notes) < 10


def test_a_key_lies_where_its_own_tone_begins():
    quiet = Desk(TENOR, muted=frozenset({0, 1, 3}), click="silent")
    keyed, _, _, link, begun, _, hand = take([(0.0, WRITTEN[0], 64), (0.9, WRITTEN[0], 0)], desk=quiet)
    sound = link.left()[:, 0]
    begins = int(np.flatnonzero(np.abs(sound[begun.music_frame :]) > 1e-5)[0])
    assert begins / RATE_HZ * 1000 == pytest.approx(keyed.notes[0].onset_error_ms, abs=3)
    assert hand.answer_ms == pytest.approx(begins / RATE_HZ * 1000, abs=3)
    assert begins < 0.012 * RATE_HZ
    # and it falls silent where it was let go
    assert not np.any(np.abs(sound[begun.music_frame + round(1.1 * RATE_HZ) : begun.music_frame + 2 * RATE_HZ]) > 1e-5)


def test_a_keyboard_with_its_own_sound_is_not_sounded_again_and_not_timed():
    presses = as_written(n2=(0.2, WRITTEN[2]))
    desk = Desk(TENOR, keys="off", muted=frozenset({0, 1, 3}), click="silent")
    keyed, _, _, link, *_ = take(presses, desk=desk, delay=Delay(0, "reported", RATE_HZ))
    assert not link.left().any()
    assert signs(keyed) == ["held"] * 4
    assert not keyed.settings.delay_known


def test_nobody_at_the_keys_is_nothing_heard():
    keyed, beats, *_ = take([])
    assert keyed.status == "nothing heard"
    assert {b.sign.value for b in beats} <= {"silent"}


def test_numbers_are_degrees_in_the_octave_of_the_note_that_is_due():
    def row(score, link):
        return NumberRow(score, TENOR, link, lambda midi: degree_number(score, midi))

    # B dorian: F# is 5, A is 7, B is 1, C# is 2
    keyed, *_ = take([(0.01, 5, 1), (1.01, 7, 1), (2.01, 1, 1), (3.01, 3, 1)], hand_of=row)
    assert signs(keyed) == ["held", "held", "held", "off"]


def test_a_keyed_take_judged_again_from_the_store_is_the_same(tmp_path, monkeypatch):
    monkeypatch.setenv("HELDLINE_HOME", str(tmp_path))
    keyed, *_, number, _ = take(as_written(n1=(0.2, WRITTEN[1])), places=own_places())
    with open_store(own_places(), print) as store:
        attempt = store.get(number)
    assert attempt.source == "keyed"
    assert judge_again(attempt, attempt.settings).takes == (keyed,)


def test_keys_that_are_unplugged_end_the_take_with_what_was_played():
    def pulled_out(link, player, keyed, keys, begun):
        if link.write_until() > begun.music_frame + 2.3 * RATE_HZ:
            keys.alive = False

    keyed, *_ = take(as_written(), at=pulled_out)
    assert signs(keyed)[:2] == ["held", "held"]


def test_a_pause_on_the_keys_goes_on_after_one_counted_bar():
    state = {}

    def paused(link, player, keyed, keys, begun):
        now = link.write_until()
        if now > begun.music_frame + 1.7 * RATE_HZ and "p" not in state:
            state["p"] = True
            keyed.pause()
        if now > begun.music_frame + 4 * RATE_HZ and "r" not in state:
            state["r"] = True
            keyed.resume()
            state["shift"] = (player.begun.end_frame - begun.end_frame) / RATE_HZ
        if "shift" in state and now > begun.music_frame + (state["shift"] + 2) * RATE_HZ and "n2" not in state:
            state["n2"] = True
            keys.press(KeyMoved(now / RATE_HZ, WRITTEN[2], 64))
        if "n2" in state and now > begun.music_frame + (state["shift"] + 3) * RATE_HZ and "n3" not in state:
            state["n3"] = True
            keys.press(KeyMoved(now / RATE_HZ, WRITTEN[2], 0), KeyMoved(now / RATE_HZ, WRITTEN[3], 64))

    keyed, beats, *_ = take(as_written(n2=None, n3=None), at=paused)
    assert signs(keyed) == ["held"] * 4
    assert [b.sign.value for b in beats] == ["held"] * 8


def test_the_clock_takes_the_earliest_of_late_stamps():
    clock = LinkClock(RATE_HZ, 256)
    late_ms = [9.0, 4.0, 0.0, 7.0, 2.0]
    for k, late in enumerate(late_ms):
        start = k * 256
        stamp = 100.0 + (start + 256) / RATE_HZ + late / 1000
        clock.feed([Block(np.zeros((256, 1), np.float32), ("mic1",), start, RATE_HZ, host_seconds=stamp)])
    assert clock.frame(100.0 + 1.0) == RATE_HZ


def test_a_slower_tempo_moves_what_is_expected_of_the_keys():
    keyed, *_ = take(
        [(2 * k, midi, 64) for k, midi in enumerate(WRITTEN)]
        + [(2 * k + 1.9, midi, 0) for k, midi in enumerate(WRITTEN)],
        settings=replace(SETTINGS, tempo_qpm=Fraction(60)),
    )
    assert signs(keyed) == ["held"] * 4
