"""Our own sound taken away, against rooms and loudspeakers of the tests' own."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from loudspeaker_room import Setup, level_db, soft_noise, tone, voices

from audio.block import Block
from audio.canceller.learn import found_delay, found_drift, learnt
from audio.canceller.path import EchoPath
from audio.canceller.stage import Canceller
from audio.devices.swell import swell
from audio.units import RATE_HZ

PLAYED_DBFS, NOISE_DBFS = -24.0, -64.0
LONGEST = 20_000


def learnt_at(setup: Setup) -> EchoPath:
    """The room as a soundcheck would learn it."""
    wave = np.concatenate([swell(RATE_HZ).astype(float), np.zeros(RATE_HZ // 2)])
    heard = setup.at_microphone(wave) + soft_noise(len(wave), RATE_HZ, seed=99, dbfs=NOISE_DBFS)
    delay = found_delay(wave, heard, LONGEST)
    assert delay is not None
    return learnt(wave, heard, delay, drift_ppm=found_drift(wave, heard, delay))


def through(canceller: Canceller, heard, played, *, block_frames: int = 512, from_frame: int = 0):
    """What is left, shape (n,), from sound at ``RATE_HZ``."""
    table = np.stack([heard, played], axis=1).astype(np.float32)
    out = []
    for begin in range(0, len(table), block_frames):
        piece = table[begin : begin + block_frames].copy()
        out += canceller.feed(Block(piece, ("mic1", "played1"), from_frame + begin, RATE_HZ))
    out += canceller.flush()
    return np.concatenate([block.samples[:, 0] for block in out]).astype(float)


def scene(setup: Setup, seconds: float, *, seed: int = 3, sung=None):
    """Heard, played and the echo alone."""
    played = voices(seconds, RATE_HZ, seed=seed) * 10 ** (PLAYED_DBFS / 20)
    echo = setup.at_microphone(played)
    heard = echo + soft_noise(len(played), RATE_HZ, seed=5, dbfs=NOISE_DBFS)
    return (heard if sung is None else heard + sung), played, echo


def taken_db(left, heard, echo, from_s: float, to_s: float) -> float:
    """How much less echo is in what is left."""
    part = slice(int(from_s * RATE_HZ), int(to_s * RATE_HZ))
    rest = echo[part] - (heard - left)[part]
    return level_db(echo[part]) - level_db(rest)


@pytest.mark.parametrize("rt60_s", [0.25, 0.5])
def test_a_learnt_room_is_taken_down_by_25_db_from_the_first_moment(rt60_s):
    setup = Setup(seed=11, rt60_s=rt60_s)
    heard, played, echo = scene(setup, 3)
    left = through(Canceller(path=learnt_at(setup)), heard, played)
    assert len(left) == len(heard)
    assert taken_db(left, heard, echo, 0.1, 1.0) > 25
    assert taken_db(left, heard, echo, 1.0, 3.0) > 25


def test_the_answer_does_not_depend_on_how_the_sound_was_cut():
    setup = Setup(seed=12)
    heard, played, _ = scene(setup, 1.5)
    path = learnt_at(setup)
    whole = through(Canceller(path=path), heard, played, block_frames=len(heard))
    for block_frames in (61, 512):
        assert np.array_equal(through(Canceller(path=path), heard, played, block_frames=block_frames), whole)


def test_what_is_heard_comes_out_at_once_where_the_round_trip_is_longer_than_a_block():
    setup = Setup(seed=12)
    heard, played, _ = scene(setup, 0.5)
    canceller = Canceller(path=learnt_at(setup))
    assert canceller.latency_frames == 0
    table = np.stack([heard, played], axis=1).astype(np.float32)
    for begin in range(0, 6_000, 100):
        (out,) = canceller.feed(Block(table[begin : begin + 100].copy(), ("mic1", "played1"), begin, RATE_HZ))
        assert (out.start_frame, len(out.samples)) == (begin, 100)
    soon = Canceller(path=EchoPath(np.zeros(7_168, np.float32), 0))
    assert 0 < soon.latency_frames < 0.012 * RATE_HZ


def test_two_clocks_100_ppm_apart_are_held_together():
    setup = Setup(seed=13, ppm=100)
    path = learnt_at(setup)
    assert path.drift_ppm == pytest.approx(-100, abs=25)
    heard, played, echo = scene(setup, 5)
    canceller = Canceller(path=path)
    left = through(canceller, heard, played)
    assert taken_db(left, heard, echo, 0, 2) > 20
    assert taken_db(left, heard, echo, 3, 5) > 24
    assert canceller.drift_ppm == pytest.approx(-100, abs=10)


def test_a_drift_that_soundcheck_did_not_see_is_found_while_voices_sound():
    still, drifting = Setup(seed=13), Setup(seed=13, ppm=-80)
    heard, played, echo = scene(drifting, 7)
    left = through(Canceller(path=learnt_at(still)), heard, played)
    assert taken_db(left, heard, echo, 5, 7) > 18


def test_a_moved_laptop_is_learnt_anew_while_somebody_sings():
    setup = Setup(seed=14)
    sung = voices(5, RATE_HZ, seed=8, lowest=(392.0,)) * 10 ** (-40 / 20)
    heard, played, echo = scene(setup.moved(-12), 5, sung=sung)
    path = learnt_at(setup)
    left = through(Canceller(path=path), heard, played)
    assert taken_db(left, heard, echo, 0, 0.6) < 14
    assert taken_db(left, heard, echo, 3, 5) > 16


@pytest.mark.parametrize("seed", [16, 17])
def test_a_laptop_put_back_where_it_was_at_soundcheck_is_known_again(seed):
    setup, back_s = Setup(seed=seed), 3
    sung = voices(6, RATE_HZ, seed=8, lowest=(392.0,)) * 10 ** (-44 / 20)
    _, played, away = scene(setup.moved(-8), 6)
    echo = np.where(np.arange(len(played)) < back_s * RATE_HZ, away, setup.at_microphone(played))
    heard = echo + sung + soft_noise(len(played), RATE_HZ, seed=5, dbfs=NOISE_DBFS)
    left = through(Canceller(path=learnt_at(setup)), heard, played)
    assert taken_db(left, heard, echo, back_s - 1, back_s) < 18
    assert taken_db(left, heard, echo, back_s + 2, 6) > 25


def test_a_loudspeaker_that_bends_by_three_per_cent_leaves_what_it_adds_and_no_more():
    setup = Setup(seed=15, bent=0.03)
    heard, played, echo = scene(setup, 4)
    left = through(Canceller(path=learnt_at(setup)), heard, played)
    assert taken_db(left, heard, echo, 0, 4) > 18


@pytest.mark.parametrize(("ratio", "cents"), [(1, 2), (1, 0), (2, 1), (3, -2)])
@pytest.mark.parametrize("others", ["one voice", "three voices"])
def test_a_singer_in_tune_with_a_played_voice_for_four_seconds_loses_less_than_a_decibel(ratio, cents, others):
    setup, f0_hz, silence = Setup(seed=16), 196.0, np.zeros(RATE_HZ // 2)
    played = tone(f0_hz, 5.5, RATE_HZ, seed=1, vibrato_cents=10)
    if others == "three voices":
        played = played + tone(f0_hz * 1.25, 5.5, RATE_HZ, seed=2, vibrato_cents=10)
        played = played + tone(f0_hz * 1.5, 5.5, RATE_HZ, seed=3, vibrato_cents=10)
    played = np.concatenate([silence, played, silence]) * 10 ** (PLAYED_DBFS / 20)
    sung = tone(f0_hz * ratio * 2 ** (cents / 1200), 4, RATE_HZ, seed=4)
    sung = np.concatenate([np.zeros(int(1.5 * RATE_HZ)), sung, np.zeros(RATE_HZ)])[: len(played)]
    echo = setup.at_microphone(played)
    sung *= 10 ** (level_db(echo[RATE_HZ : 5 * RATE_HZ]) / 20)
    heard = echo + sung + soft_noise(len(played), RATE_HZ, seed=5, dbfs=NOISE_DBFS)
    left = through(Canceller(path=learnt_at(setup)), heard, played)
    for second in (1.7, 3.0, 4.4):
        part = slice(int(second * RATE_HZ), int((second + 1.0) * RATE_HZ))
        assert level_db(left[part]) - level_db(sung[part]) > -1.0


def test_there_is_no_canceller_without_a_room():
    with pytest.raises(TypeError, match="path"):
        Canceller()


def test_headphones_put_on_after_soundcheck_leave_the_microphone_as_it_is():
    setup = Setup(seed=20)
    played = voices(4, RATE_HZ, seed=3) * 10 ** (PLAYED_DBFS / 20)
    room = soft_noise(len(played), RATE_HZ, seed=5, dbfs=NOISE_DBFS)
    sung = np.concatenate([np.zeros(RATE_HZ), tone(196.0, 3, RATE_HZ, seed=4) * 1e-3])
    canceller = Canceller(path=learnt_at(setup), nobody=lambda frame: frame < RATE_HZ)
    left = through(canceller, room + sung, played)
    assert canceller.taken_db is None
    assert np.array_equal(left[RATE_HZ:], (room + sung)[RATE_HZ:].astype(np.float32))


@pytest.mark.parametrize("turned_db", [-12, 9])
def test_a_loudspeaker_turned_up_or_down_since_soundcheck_is_taken_away_before_the_singer_enters(turned_db):
    setup = Setup(seed=21)
    heard, played, echo = scene(setup, 4)
    turned = 10 ** (turned_db / 20)
    heard = heard + (turned - 1) * echo
    canceller = Canceller(path=learnt_at(setup), nobody=lambda frame: frame < RATE_HZ)
    left = through(canceller, heard, played)
    assert taken_db(left, heard, turned * echo, 1, 4) > 22


def test_a_server_that_plays_later_than_at_soundcheck_is_found():
    early, late = Setup(seed=18, delay_s=0.03), Setup(seed=18, delay_s=0.19)
    heard, played, echo = scene(late, 7)
    canceller = Canceller(path=learnt_at(early))
    left = through(canceller, heard, played)
    assert taken_db(left, heard, echo, 5, 7) > 20


def test_what_the_old_delay_left_says_nothing_against_the_room_at_the_new_one():
    early, late = Setup(seed=18, delay_s=0.03), Setup(seed=18, delay_s=0.19)
    heard, played, _ = scene(late, 4)
    canceller = Canceller(path=learnt_at(early))
    evidence = canceller._return
    through(canceller, heard, played)
    assert canceller.path.delay_frames > 0.15 * RATE_HZ
    assert canceller._return is not evidence


@pytest.mark.parametrize("nobody", [True, False])
def test_a_delay_that_two_clocks_have_worn_below_nothing_is_looked_through_like_any_other(nobody):
    setup = Setup(seed=18, delay_s=0.03)
    heard, played, _ = scene(setup, 4)
    path = replace(learnt_at(setup), delay_frames=0, drift_ppm=-300.0)
    left = through(Canceller(path=path, nobody=lambda _: nobody), heard, played)
    assert len(left) == len(heard)
    assert np.isfinite(left).all()


def test_where_the_delay_jumps_beside_a_singer_what_cannot_be_told_is_said():
    early, late = Setup(seed=18, delay_s=0.03), Setup(seed=18, delay_s=0.12)
    played = voices(8, RATE_HZ, seed=3) * 10 ** (PLAYED_DBFS / 20)
    jump = 4 * RATE_HZ
    echo = np.concatenate([early.at_microphone(played)[:jump], late.at_microphone(played)[jump:]])
    sung = tone(392.0, 8, RATE_HZ, seed=4, vibrato_cents=20) * 10 ** (level_db(echo) / 20)
    heard = echo + sung[: len(echo)] + soft_noise(len(echo), RATE_HZ, seed=5, dbfs=NOISE_DBFS)
    canceller = Canceller(path=learnt_at(early))
    left = through(canceller, heard, played)
    (span,) = canceller.lost_spans()
    assert span[0] <= jump + RATE_HZ // 2
    assert jump + RATE_HZ < span[1] < len(heard) - RATE_HZ
    assert taken_db(left, heard, echo, 7.5, 8) > 12
    assert canceller.lost_spans() == []


def test_lost_sound_is_passed_on_and_the_room_is_still_known_after_it():
    setup = Setup(seed=19)
    heard, played, echo = scene(setup, 4)
    canceller = Canceller(path=learnt_at(setup))
    table = np.stack([heard, played], axis=1).astype(np.float32)
    gap = slice(2 * RATE_HZ, 2 * RATE_HZ + 3_000)
    out = canceller.feed(Block(table[: gap.start].copy(), ("mic1", "played1"), 0, RATE_HZ))
    out += canceller.feed(Block(table[gap.stop :].copy(), ("mic1", "played1"), gap.stop, RATE_HZ, 3_000))
    out += canceller.flush()
    after = [block for block in out if block.start_frame >= gap.stop]
    assert after[0].lost_frames_before == 3_000
    assert after[0].start_frame == gap.stop
    left = np.concatenate([block.samples[:, 0] for block in after])
    rest = (echo[gap.stop :] - (heard[gap.stop :] - left))[RATE_HZ:]
    assert level_db(echo[gap.stop + RATE_HZ :]) - level_db(rest) > 25


def test_samples_that_are_no_numbers_stay_none():
    setup = Setup(seed=12)
    heard, played, _ = scene(setup, 1)
    heard[9_000:9_100] = np.nan
    left = through(Canceller(path=learnt_at(setup)), heard, played)
    assert np.isnan(left[9_000:9_100]).all()
    assert np.isfinite(np.delete(left, np.arange(9_000, 9_100))).all()


def test_both_loudspeakers_of_a_pair_are_taken_away_together():
    setup = Setup(seed=12)
    heard, played, echo = scene(setup, 2)
    table = np.stack([heard, 0.5 * played, 0.5 * played], axis=1).astype(np.float32)
    out = Canceller(path=learnt_at(setup)).feed(Block(table, ("mic1", "played1", "played2"), 0, RATE_HZ))
    left = np.concatenate([block.samples[:, 0] for block in out]).astype(float)
    count = len(left)
    assert taken_db(left, heard[:count], echo[:count], 0.5, 1.9) > 25
