"""What counts as sung, told to the voicing decision directly."""

from __future__ import annotations

import numpy as np

from audio.pitch._refine import HALF_FRAMES, Refined
from audio.pitch._rising import AHEAD_FRAMES
from audio.pitch._voicing import Voicing
from audio.units import RATE_HZ

HOPS = 40
SILENT = np.zeros(HOPS * 120 + 2 * AHEAD_FRAMES)


def frames(confidence, strength, *, cents=5700.0, power=1e-3, bad=(), voicing=None, sound=SILENT):
    ones = np.ones(HOPS)
    confidence, strength, cents, power = (np.broadcast_to(v, HOPS) * ones for v in (confidence, strength, cents, power))
    fine = Refined(
        440.0 * 2.0 ** ((cents - 6900.0) / 1200.0), cents, 2.0 * ones, power, power * (1 - confidence / 1000)
    )
    voicing = voicing or Voicing(65.0, 1100.0)
    return voicing.frames(3, np.arange(HOPS) * 120, fine, strength, list(bad), sound, -AHEAD_FRAMES)


def voiced(*args, **kwargs):
    return [f.voiced for f in frames(*args, **kwargs)]


def test_a_clear_voice_is_voiced_from_its_first_hop():
    assert all(voiced(900, 6.0))


def test_a_faint_voice_is_voiced_once_it_has_lasted():
    out = voiced(200, 1.5)
    assert not out[0]
    assert all(out[7:])  # 8 / 9 of 200 is more than 150 of confidence


def test_harmonics_that_explain_little_or_are_liked_little_are_not_a_voice():
    assert not any(voiced(120, 1.5))
    assert not any(voiced(600, 0.7))


def test_a_hop_far_below_the_ones_before_is_past_the_end():
    confidence = np.r_[np.full(20, 950), np.full(20, 180)]
    assert not any(voiced(confidence, np.full(HOPS, 1.6))[20:25])


def test_a_voice_20_db_quieter_is_still_a_voice_and_a_whisper_of_the_converter_is_not():
    assert all(voiced(900, 6.0, power=1e-3 / 100))
    assert not any(voiced(900, 6.0, power=1e-9))


def test_a_pitch_drawn_to_the_edge_of_the_range_is_not_a_voice():
    assert not any(voiced(900, 6.0, cents=3550.0))
    assert all(voiced(900, 6.0, cents=3600.0))


def test_hops_that_touch_spoilt_samples_are_not_voiced():
    out = frames(900, 6.0, bad=[(2400, 2500)])
    for frame in out:
        touches = frame.centre_frame + HALF_FRAMES >= 2400 and frame.centre_frame - HALF_FRAMES < 2500
        assert frame.voiced != touches


def test_the_record_says_levels_in_tenths_of_a_decibel_and_silence_as_minus_120():
    record = frames(900, 6.0)[0]
    assert (record.line, record.confidence, record.level_db10, record.residual_db10) == (3, 900, -300, -400)
    assert record.f0_c100 == 570_000
    assert record.uncertainty_cents == 5  # 1.96 * sqrt(2.0**2 + 1.5**2) = 4.9
    silent = frames(0, 0.0, power=0.0)[0]
    assert (silent.level_db10, silent.residual_db10, silent.confidence) == (-1200, -1200, 0)


def test_memory_of_the_hops_before_is_carried_over_a_cut():
    confidence, strength = np.full(HOPS, 200.0), np.full(HOPS, 1.5)
    voicing = Voicing(65.0, 1100.0)
    voiced(confidence, strength, voicing=voicing)
    assert all(voiced(confidence, strength, voicing=voicing))


def test_a_clear_note_does_not_vouch_for_what_is_left_after_it():
    confidence = np.r_[np.full(30, 990), np.zeros(4), np.full(6, 140)]
    assert not any(voiced(confidence, np.full(HOPS, 1.6))[30:])


def test_a_hop_that_its_harmonics_explain_little_of_is_voiced_where_a_voice_begins():
    sound = SILENT.copy()
    begin = 10 * 120 + AHEAD_FRAMES
    sound[begin:] = np.sin(2 * np.pi * 220.0 / RATE_HZ * np.arange(len(sound) - begin))
    assert [hop for hop, is_voiced in enumerate(voiced(50, 6.0, sound=sound)) if is_voiced] == [10, 11]
    assert not any(voiced(50, 4.9, sound=sound))
    assert not any(voiced(50, 6.0, cents=6100.0, sound=sound))  # which has another period
    assert not any(voiced(50, 6.0, sound=sound, bad=[(begin, begin + 1)]))
