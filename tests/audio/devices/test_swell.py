"""The wave of soundcheck: soft, without an onset, and enough to learn a room from."""

from __future__ import annotations

import numpy as np
import pytest

from audio.canceller.path import LEAD_FRAMES
from audio.devices.fake import FakeSound, Loopback
from audio.devices.swell import learn_room, swell
from audio.units import RATE_HZ


def test_the_wave_begins_and_ends_from_nothing_and_is_never_loud():
    wave = swell(48_000).astype(float)
    assert np.abs(wave).max() < 0.15
    rms = [float(np.sqrt(np.mean(wave[k : k + 2_400] ** 2))) for k in range(0, len(wave) - 2_400, 2_400)]
    assert max(rms) < 10 ** (-29 / 20)
    assert rms[0] < max(rms) / 5
    assert rms[-1] < max(rms) / 5
    steps = 20 * np.log10(np.array(rms[1:]) / np.array(rms[:-1]))
    assert np.abs(steps[2:-2]).max() < 6


def test_a_room_is_learnt_through_a_link():
    link = FakeSound(np.zeros((0, 1), np.float32), loopback=Loopback(1_440, 0.2))
    path = learn_room(link, link.advance_seconds)
    assert path is not None
    assert path.delay_frames == pytest.approx(1_440 / 2 - LEAD_FRAMES, abs=2)
    # both outputs sound the wave and both are summed on the way back
    assert path.gain_db == pytest.approx(20 * np.log10(0.2), abs=1.5)
    assert path.drift_ppm == 0
    assert path.left_db < -25
    strongest = int(np.argmax(np.abs(path.taps)))
    assert path.delay_frames + strongest == pytest.approx(1_440 * RATE_HZ / 48_000, abs=2)


def test_headphones_leave_no_room_to_learn():
    link = FakeSound(np.zeros((0, 1), np.float32))
    assert learn_room(link, link.advance_seconds) is None
