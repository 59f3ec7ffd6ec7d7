"""What a room still sounds of an earlier note, against rooms whose decay is known."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from audio.pitch._tail import BACK_HOPS, FAR_OUT, GAIN, MOST, MOST_TAKEN, START, WET, Tail, taken

HOP_S = 0.005
BINS = 60


def notes(rt60_s, seconds=8.0, change_s=0.5):
    """Power of bins that sound by turns, ``change_s`` each, and fall as a room lets them, with a flutter of 2 dB."""
    hops = round(seconds / HOP_S)
    fall = 10 ** (-6.0 * HOP_S / rt60_s)
    power = np.empty((hops, BINS))
    level = np.full(BINS, 1e-9)
    for hop in range(hops):
        sounding = np.arange(BINS) % 4 == int(hop * HOP_S / change_s) % 4
        level = np.where(sounding, 1.0, np.maximum(level * fall, 1e-9))
        power[hop] = level
    return power * 10 ** (0.2 * np.random.default_rng(1).normal(size=power.shape))


NOISE = np.full((1, BINS), 1e-6)


def test_in_a_room_what_is_left_of_the_note_before_is_taken_for_the_tail():
    power = notes(1.2)
    tail = Tail(BINS).under(power, np.broadcast_to(NOISE, power.shape), 0)[0]
    hop = round(7.54 / HOP_S)  # 40 ms into a note
    before = np.arange(BINS) % 4 == int(7.4 / 0.5) % 4
    now = np.arange(BINS) % 4 == int(7.54 / 0.5) % 4
    assert (power[hop] / tail[hop])[before].mean() < 10.0
    assert (power[hop] / tail[hop])[now].min() > 2.0


def test_what_a_room_keeps_is_learnt_within_two_seconds_of_changing_notes():
    power = notes(1.2, seconds=3.0)
    tail = Tail(BINS).under(power, np.broadcast_to(NOISE, power.shape), 0)[0]
    hop = round(2.04 / HOP_S)  # 40 ms into the fifth note
    assert (power[hop] / tail[hop])[np.arange(BINS) % 4 == 3].mean() < 5.0


def test_a_room_that_keeps_much_is_taken_for_more_than_its_share_and_a_held_note_never_for_all_of_itself():
    assert taken(WET) == pytest.approx(GAIN * WET)
    assert taken(2 * WET) == pytest.approx(4 * GAIN * WET)
    assert taken(MOST) == MOST_TAKEN
    assert MOST_TAKEN < 0.5


def test_in_a_dry_room_next_to_nothing_is_taken_away():
    power = notes(0.03)
    tail = Tail(BINS).under(power, np.broadcast_to(NOISE, power.shape), 0)[0]
    assert tail[-BACK_HOPS:].max() < 0.02 * power.max()


def test_the_cutting_into_batches_does_not_matter():
    power = notes(0.6, seconds=2.0)
    noise = np.broadcast_to(NOISE, power.shape)
    whole = Tail(BINS).under(power, noise, 7)[0]
    cut = Tail(BINS)
    edges = [0, 1, 5, 6, 130, len(power)]
    parts = [cut.under(power[a:b], noise[a:b], 7 + a)[0] for a, b in itertools.pairwise(edges)]
    assert np.array_equal(np.concatenate(parts), whole)


def test_it_begins_carefully_and_what_it_keeps_is_bounded():
    tail = Tail(BINS)
    held = np.ones((4_000, BINS))
    noise = np.broadcast_to(NOISE, held.shape)
    said = tail.under(held, noise, 0)[0]
    assert said[BACK_HOPS + 1].max() < 10 * START
    assert said[-1].max() < 10 * MOST


def test_a_held_note_says_nothing_of_the_room():
    held = np.ones((2_000, BINS)) * 10 ** (0.05 * np.random.default_rng(2).normal(size=(2_000, BINS)))
    tail = Tail(BINS)
    _, keeps = tail.under(held, np.broadcast_to(NOISE, held.shape), 0)
    assert (keeps == START).all()
    # and once it has ended in a dry room, it was a dry room all along
    _, keeps = tail.under(np.concatenate((held, 1e-5 * held[:40])), np.full((2_040, BINS), 1e-8), 0)
    assert keeps.max() <= START


def test_what_has_fallen_into_the_noise_does_not_seem_to_be_kept_by_a_room():
    noise = np.full((2_000, BINS), 1e-6)
    flutter = 10 ** (0.1 * np.random.default_rng(3).normal(size=noise.shape))
    power = np.where((np.arange(2_000) // 40 % 2 == 0)[:, None], 1.5 * FAR_OUT, 1.0) * noise * flutter
    _, keeps = Tail(BINS).under(power, noise, 0)
    assert keeps[-1] < START
    _, wet = Tail(BINS).under(notes(1.2), np.full((1_600, BINS), 1e-6), 0)
    assert wet[-1] > START


def test_where_less_than_half_of_what_stood_out_has_fallen_nobody_has_moved():
    power = np.ones((2_000, BINS))
    power[:, : BINS // 3] = np.where((np.arange(2_000) // 10 % 2 == 0)[:, None], 1.0, 0.3)  # two voices beat
    _, keeps = Tail(BINS).under(power, np.full(power.shape, 1e-6), 0)
    assert (keeps == START).all()
