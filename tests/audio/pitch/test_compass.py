"""The lean towards where a singer has sung, by itself and in the path."""

from __future__ import annotations

import numpy as np

from audio.pitch._compass import FREE_STATES, Compass
from audio.pitch._path import SURE_STRENGTH, Path

STATES = 245


def test_nothing_leans_before_a_voice_was_clear():
    assert not Compass(STATES).lean.any()


def test_a_compass_of_nearly_two_octaves_is_free_and_what_is_beyond_costs_by_its_distance():
    compass = Compass(STATES)
    compass.heard(100)
    assert not compass.lean[100 - FREE_STATES : 101 + FREE_STATES].any()
    beyond = compass.lean[101 + FREE_STATES :]
    assert np.allclose(np.diff(beyond), beyond[0])
    assert beyond[0] > 0


def test_the_middle_follows_within_some_seconds_and_not_at_once():
    compass = Compass(STATES)
    compass.heard(60)
    compass.heard(180)
    assert compass.lean[60 - FREE_STATES : 60 + FREE_STATES].max() < 0.1
    for _ in range(600):  # three seconds of singing
        compass.heard(180)
    assert not compass.lean[180 - FREE_STATES + 2 : 180 + FREE_STATES].any()


def two_pitches(low, high, hops=200):
    """A clear voice at state 60 for a second, then two pitches an octave apart in noise, liked so much."""
    strengths = np.random.default_rng(5).normal(0, 0.3, (200 + hops, STATES))
    strengths[:200, 60] += 8.0
    strengths[200:, 65] += low
    strengths[200:, 125] += high
    return Path(STATES).step(strengths)[0][230:]


def test_in_doubt_an_octave_it_is_the_one_where_the_singer_has_sung():
    assert np.mean(np.abs(two_pitches(1.0, 1.1) - 65) <= 2) > 0.95


def test_a_clear_octave_above_is_heard_where_it_is():
    assert np.mean(np.abs(two_pitches(SURE_STRENGTH, SURE_STRENGTH + 1.0) - 125) <= 2) > 0.95
