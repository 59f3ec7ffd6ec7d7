"""Tones to samples: cut anywhere, never too loud, never sudden."""

from __future__ import annotations

import time

import numpy as np
import pytest

from audio.curve import PitchStep
from audio.render import (
    LIMIT_DBFS,
    TYPICAL_DBFS,
    Rendering,
    Tone,
    limited,
    pan_gains,
    voice_gain_db,
)
from audio.units import db_to_gain

RATE_HZ = 48_000


def voice(start: int, f0_hz: float, length: int = 24_000, **more: object) -> Tone:
    return Tone(start, length, (PitchStep(0, f0_hz),), "tenor", **more)  # type: ignore[arg-type]


CHORD = [
    Tone(1_000, 96_000, (PitchStep(0, 493.9),), "soprano", channel=0, gain_db=voice_gain_db(3)),
    Tone(1_000, 96_000, (PitchStep(0, 246.9),), "alto", channel=1, gain_db=voice_gain_db(3), pan=-0.5),
    Tone(1_000, 96_000, (PitchStep(0, 123.5),), "bass", channel=2, gain_db=voice_gain_db(3), pan=0.5),
]


@pytest.mark.parametrize("step", [100, 4_096, 33_333])
def test_a_mix_in_segments_is_the_whole_mix(step: int) -> None:
    rendering = Rendering(CHORD, rate_hz=RATE_HZ)
    end = rendering.length_frames if step > 100 else 6_000
    parts = [rendering.mix(at, min(at + step, end)) for at in range(0, end, step)]
    assert np.array_equal(np.concatenate(parts), rendering.mix(0, end))


def test_segments_may_be_asked_for_in_any_order() -> None:
    first, second = Rendering(CHORD, rate_hz=RATE_HZ), Rendering(CHORD, rate_hz=RATE_HZ)
    late = first.stems(50_000, 60_000)
    second.stems(0, 50_000)
    assert np.array_equal(late, second.stems(50_000, 60_000))


def test_each_channel_is_its_own_stem_and_the_mix_is_their_sum() -> None:
    rendering = Rendering(CHORD, rate_hz=RATE_HZ)
    stems, mix = rendering.stems(60_000, 80_000), rendering.mix(60_000, 80_000)
    assert stems.shape == (20_000, 3)
    quiet = np.abs(mix).max(axis=1) < 0.25
    for ear in (0, 1):
        expected = sum(stems[:, k] * np.float32(pan_gains(CHORD[k].pan)[ear]) for k in range(3))
        assert np.allclose(mix[quiet, ear], expected[quiet], atol=1e-6)


def test_another_seed_is_another_breath_and_the_same_seed_the_same() -> None:
    one = Rendering(CHORD, rate_hz=RATE_HZ, seed=4).mix(0, 20_000)
    assert np.array_equal(one, Rendering(CHORD, rate_hz=RATE_HZ, seed=4).mix(0, 20_000))
    assert not np.array_equal(one, Rendering(CHORD, rate_hz=RATE_HZ, seed=5).mix(0, 20_000))


@pytest.mark.parametrize("voices", [2, 3, 8])
def test_a_full_mix_stands_at_the_typical_level(voices: int) -> None:
    tones = [
        Tone(0, 192_000, (PitchStep(0, 110.0 * 2 ** (k * 5 / 12)),), "alto", channel=k, gain_db=voice_gain_db(voices))
        for k in range(voices)
    ]
    steady = Rendering(tones, rate_hz=RATE_HZ).mix(48_000, 144_000).astype(float)
    assert abs(10 * np.log10(np.mean(steady**2)) - TYPICAL_DBFS) < 1.0


def test_no_sample_passes_the_limit_however_many_sing() -> None:
    tones = [Tone(0, 24_000, (PitchStep(0, 220.0),), "tenor", channel=k, gain_db=20.0) for k in range(12)]
    mix = Rendering(tones, rate_hz=RATE_HZ).mix(0, 24_000)
    assert np.abs(mix).max() <= db_to_gain(LIMIT_DBFS) + 1e-6
    assert np.abs(mix).max() > 0.9 * db_to_gain(LIMIT_DBFS)  # it was really pushed


def test_a_quiet_mix_is_left_exactly_as_it_is() -> None:
    quiet = (0.25 * np.sin(np.arange(1_000))).astype(np.float32)
    assert np.array_equal(limited(quiet), quiet)


def test_the_limit_bends_without_a_corner() -> None:
    ramp = np.linspace(-3, 3, 600_001).astype(np.float32)
    bent = limited(ramp)
    assert np.all(np.diff(bent) >= 0)
    assert np.max(np.abs(np.diff(bent.astype(np.float64)))) < 1.1e-5  # nowhere steeper than the input


def test_the_first_sound_begins_softly_wherever_it_lies() -> None:
    for start in (0, 30_000):
        mix = Rendering([voice(start, 220.0, 192_000)], rate_hz=RATE_HZ).mix(0, start + 144_000).astype(float)
        assert not np.any(mix[:start])
        level = [np.sqrt(np.mean(mix[start + at : start + at + 2_400] ** 2)) for at in (2_400, 24_000, 96_000)]
        assert level[0] < 0.3 * level[2]
        assert 0.3 * level[2] < level[1] < 0.7 * level[2]


def test_a_first_click_is_soft_and_still_heard() -> None:
    clicks = [Tone(k * RATE_HZ, 3_000, (PitchStep(0, 1_000.0),), "click", gain_db=voice_gain_db(4)) for k in range(3)]
    mix = Rendering(clicks, rate_hz=RATE_HZ).mix(0, 3 * RATE_HZ)
    first, second, third = (np.abs(mix[k * RATE_HZ : k * RATE_HZ + 3_000]).max() for k in range(3))
    assert 0.2 * third < first < 0.3 * third
    assert abs(second - third) < 1e-3


def test_a_voice_moved_between_the_ears_keeps_its_power() -> None:
    for pan in (-1.0, -0.3, 0.0, 0.7, 1.0):
        left, right = pan_gains(pan)
        assert abs(left**2 + right**2 - 2.0) < 1e-12
    assert pan_gains(-1.0)[1] < 1e-12
    assert abs(pan_gains(0.0)[0] - 1.0) < 1e-12


def test_touching_notes_of_one_voice_are_sung_without_a_gap() -> None:
    joined = Rendering([voice(0, 220.0), voice(24_000, 246.9)], rate_hz=RATE_HZ).stems(0, 48_000)[:, 0]
    apart = Rendering([voice(0, 220.0), voice(24_480, 246.9)], rate_hz=RATE_HZ).stems(0, 48_480)[:, 0]
    steady = np.sqrt(np.mean(joined[8_000:16_000].astype(float) ** 2))
    assert np.sqrt(np.mean(joined[23_760:24_240].astype(float) ** 2)) > 0.5 * steady
    assert not np.any(apart[24_000:24_480])


def test_a_start_before_the_beginning_is_cut_off() -> None:
    early = Rendering([voice(-12_000, 220.0)], rate_hz=RATE_HZ)
    assert early.length_frames == 12_000
    assert np.any(early.mix(0, 12_000))


def test_nothing_to_sound_is_silence() -> None:
    empty = Rendering([], rate_hz=RATE_HZ)
    assert empty.length_frames == 0
    assert list(empty.pieces()) == []
    assert not np.any(empty.mix(0, 100))


@pytest.mark.parametrize("wrong", [{"length": 0}, {"pan": 1.5}])
def test_tones_that_cannot_sound_are_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="cannot sound"):
        voice(0, 220.0, **wrong)  # type: ignore[arg-type]


def test_a_long_piece_is_rendered_in_time_that_grows_with_its_length_only() -> None:
    def seconds(notes: int) -> float:
        tones = [voice(k * 4_800, 220.0 if k % 2 else 247.0, 4_800) for k in range(notes)]
        rendering = Rendering(tones, rate_hz=RATE_HZ)
        started = time.process_time()
        for _ in rendering.pieces():
            pass
        return time.process_time() - started

    seconds(10)
    # eight times the music; a square law would take 64 times as long. Of two runs the better, since others share the machine
    assert min(seconds(1_600), seconds(1_600)) < 20 * min(seconds(200), seconds(200))
