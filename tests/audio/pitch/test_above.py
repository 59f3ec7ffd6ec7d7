"""Whistles above the compass are heard in their own octave, and nobody who sings high is lifted into another."""

from __future__ import annotations

import numpy as np
import pytest
from rooms import pink

from audio.block import Block
from audio.pitch.comb import CombTracker
from audio.units import RATE_HZ

SECONDS = np.arange(RATE_HZ) / RATE_HZ
WHISTLE = (0, -34)
"""Harmonics in decibels: a whistle is nearly a sine."""


def heard(f0_hz, levels_db, *, noise_db=None, highest_hz=1100.0, level_dbfs=-24.0):
    """Cents from *f0_hz* of the inner frames, None where one is not voiced."""
    phase = 2 * np.pi * np.cumsum(f0_hz * 2 ** (10 / 1200 * np.sin(2 * np.pi * 5 * SECONDS))) / RATE_HZ
    tones = [10 ** (db / 20) * np.sin(n * phase + n) for n, db in enumerate(levels_db, 1) if n * f0_hz < RATE_HZ / 2]
    sound = np.sum(tones, axis=0) * 10 ** (level_dbfs / 20)
    if noise_db is not None:
        sound = sound + pink(len(sound), RATE_HZ, seed=5, dbfs=level_dbfs - 3 + noise_db)
    tracker = CombTracker(highest_hz=highest_hz)
    frames = tracker.feed(Block(sound.astype(np.float32)[:, None], ("mic1",), 0, RATE_HZ)) + tracker.flush()
    asked = 6900 + 1200 * np.log2(f0_hz / 440)
    return [f.f0_c100 / 100 - asked if f.voiced else None for f in frames[20:-20]]


@pytest.mark.parametrize("noise_db", [-40.0, -10.0], ids=["over its own breath", "10 dB over pink noise"])
@pytest.mark.parametrize("f0_hz", [1109.0, 1125.0, 1175.0, 1319.0, 1568.0, 1760.0])
def test_a_whistle_up_to_two_octaves_over_an_alto_is_in_its_own_octave(f0_hz, noise_db):
    cents = heard(f0_hz, WHISTLE, noise_db=noise_db)
    lost = [c for c in cents if c is None or abs(c) > 50]
    assert len(lost) <= (0 if noise_db < -20 else 3), lost  # of 160; noise may seem to be a harmonic for once


def test_a_voice_of_which_a_room_takes_the_first_harmonic_for_a_moment_stays_where_it_is():
    """As a bench's soprano in a room of 1.2 s: her second harmonic 18 dB over the first, or the fourth over the third."""
    for levels_db in ((-18, 0, -38, -44), (-31, -31, 0, 6, -20), (-20, -27, 0, 17)):
        assert all(c is not None and abs(c) < 50 for c in heard(615.0, levels_db)), levels_db


def test_over_two_octaves_a_whistle_is_read_a_twelfth_low_and_lifted_as_well():
    assert all(c is not None and abs(c) < 50 for c in heard(2093.0, WHISTLE, noise_db=-20.0))


@pytest.mark.parametrize("f0_hz", [370.0, 440.0, 525.0, 587.0, 740.0, 988.0])
@pytest.mark.parametrize(
    "levels_db",
    [(0,), (0, -34), (0, 14, -6), (-15, 0, -60), (0, 10, 0, 0)],
    ids=["sine", "whistle", "open", "bright", "rich"],
)
def test_who_sings_within_the_compass_is_never_lifted(f0_hz, levels_db):
    assert all(c is not None and abs(c) < 50 for c in heard(f0_hz, levels_db))


def test_a_narrower_search_lifts_nothing_that_a_line_without_low_sounds_makes_of_a_voice():
    """A telephone takes the first harmonic, and a nasal vowel has little of the third."""
    cents = heard(330.0, (-60, 0, -30, -10, -20), highest_hz=600.0)
    assert all(c is not None and abs(c) < 50 for c in cents)
