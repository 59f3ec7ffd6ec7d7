"""The way in: unbroken stretches, and what was spoilt in them."""

from __future__ import annotations

import numpy as np

from audio.block import Block
from audio.pitch._door import Door


def block(samples, start_frame, rate_hz=48_000, lost=0):
    return Block(np.array(samples, dtype=np.float32)[:, None], ("mic1",), start_frame, rate_hz, lost_frames_before=lost)


def test_spoilt_samples_are_one_stretch_at_our_rate_however_the_blocks_are_cut():
    samples = np.zeros(1000)
    samples[301:700] = np.nan
    door = Door("mic1")
    for begin in range(0, 1000, 100):
        door.feed(block(samples[begin : begin + 100], begin))
    assert door.bad == [(150, 350)]


def test_two_spoilt_places_are_two_stretches_and_old_ones_can_be_forgotten():
    samples = np.zeros(1000)
    samples[100:110] = np.inf
    samples[900:910] = np.nan
    door = Door("mic1")
    door.feed(block(samples, 0))
    assert door.bad == [(50, 55), (450, 455)]
    door.forget_bad_before(200)
    assert door.bad == [(450, 455)]


def test_a_stretch_after_a_loss_says_so():
    door = Door("mic1")
    stretches = door.feed(block(np.zeros(1000), 0))
    stretches += door.feed(block(np.zeros(1000), 3000, lost=2000))
    stretches += door.flush()
    assert [s.joined for s in stretches].count(False) == 1
    assert next(s.start_frame for s in stretches if not s.joined) == 1500
