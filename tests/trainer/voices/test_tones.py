"""Each voice sounds at the right time and at the very frequency by which a singer is judged."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest
from pitch_measures import by_fourier, cents

from audio.render import Rendering, Tone
from trainer.practice.reference import references
from trainer.practice.settings import Settings
from trainer.score.model import Score
from trainer.score.time import TempoMap
from trainer.voices.sounding import accompaniment
from trainer.voices.tones import Balance, frame_at, instrument_of, tones

RATE_HZ = 48_000


def sounded(score: Score, settings: Settings | None = None) -> Rendering:
    which = tuple(range(len(score.lines)))
    return accompaniment(score, settings or Settings(), which=which, rate_hz=RATE_HZ).rendering


def heard_hz(rendering: Rendering, channel: int, from_s: float, near_hz: float) -> float:
    low = round(from_s * RATE_HZ)
    return by_fourier(rendering.stems(low, low + 2 * RATE_HZ)[:, channel], RATE_HZ, near_hz)


# Frequencies of equal temperament at A4 = 440 Hz to two decimals, as printed in tables of the piano's keys.
PRINTED_HZ = {
    "C4": 261.63,
    "E2": 82.41,
    "B2": 123.47,
    "F#3": 185.00,
    "Bb4": 466.16,
    "A5": 880.00,
    "C6": 1046.50,
    "D#3": 155.56,
}


@pytest.mark.parametrize("name", sorted(PRINTED_HZ))
def test_equal_temperament_sounds_the_printed_frequencies(score_of: Callable[..., Score], name: str) -> None:
    rendering = sounded(score_of(name, name))
    assert abs(heard_hz(rendering, 0, 1.0, PRINTED_HZ[name]) - PRINTED_HZ[name]) < 0.007


# Just ratios above the bass: Zarlino (1558), and any handbook of acoustics since.
@pytest.mark.parametrize(
    ("bass", "upper", "ratio"),
    [
        ("C3", "C3", Fraction(1)),
        ("C3", "Eb3", Fraction(6, 5)),
        ("C3", "E3", Fraction(5, 4)),
        ("C3", "G3", Fraction(3, 2)),
        ("C3", "Ab3", Fraction(8, 5)),
        ("C3", "A3", Fraction(5, 3)),
        ("C3", "C4", Fraction(2)),
        ("C3", "E4", Fraction(5, 2)),
        ("C3", "G4", Fraction(3)),
    ],
)
def test_pure_tuning_sounds_the_published_ratios(
    score_of: Callable[..., Score], bass: str, upper: str, ratio: Fraction
) -> None:
    rendering = sounded(score_of(upper, bass), Settings(against="pure"))
    low_hz = heard_hz(rendering, 1, 1.0, 130.81)
    assert abs(cents(low_hz, 130.8128)) < 0.1
    assert abs(cents(heard_hz(rendering, 0, 1.0, 130.81 * float(ratio)), low_hz * float(ratio))) < 0.15


@pytest.mark.parametrize(
    ("bass", "upper", "semitones"), [("C3", "D3", 2), ("C3", "F3", 5), ("C3", "F#3", 6), ("C3", "B3", 11)]
)
def test_pure_tuning_leaves_dissonances_and_fourths_on_the_keyboard(
    score_of: Callable[..., Score], bass: str, upper: str, semitones: int
) -> None:
    rendering = sounded(score_of(upper, bass), Settings(against="pure"))
    expected_hz = 130.8128 * 2 ** (semitones / 12)
    assert abs(cents(heard_hz(rendering, 0, 1.0, expected_hz), expected_hz)) < 0.15


def test_a_held_note_moves_with_the_bass_under_it_and_does_not_click(score_of: Callable[..., Score]) -> None:
    held = score_of("G4", "C4 E4", length=Fraction(4))
    upper = held.lines[0].notes[0]
    score = Score(
        held.title,
        (type(held.lines[0])("0", (type(upper)(Fraction(0), Fraction(8), upper.pitch),)), held.lines[1]),
    )
    rendering = sounded(score, Settings(against="pure"))
    equal_hz = 391.9954
    assert abs(cents(heard_hz(rendering, 0, 1.0, equal_hz), equal_hz) - 1.955) < 0.1  # a fifth above C: 3/2
    assert abs(cents(heard_hz(rendering, 0, 5.0, equal_hz), equal_hz) - 15.641) < 0.1  # a minor third above E: 6/5
    stem = rendering.stems(3 * RATE_HZ, 5 * RATE_HZ)[:, 0].astype(float)
    assert np.abs(np.diff(stem[RATE_HZ - 2_000 : RATE_HZ + 2_000])).max() < 1.1 * np.abs(np.diff(stem[:40_000])).max()


@pytest.mark.parametrize("a4_hz", [392.0, 415.0, 442.0, 466.0])
def test_another_a4_moves_every_voice_alike(four_parts: Score, a4_hz: float) -> None:
    rendering = sounded(four_parts, Settings(a4_hz=a4_hz))
    for channel, semitones in enumerate((2, -3, -6, -10)):
        expected_hz = a4_hz * 2 ** (semitones / 12)
        assert abs(cents(heard_hz(rendering, channel, 1.0, expected_hz), expected_hz)) < 0.1


@pytest.mark.parametrize("qpm", [40, 60, 120, 200])
def test_tempo_moves_the_notes_and_leaves_the_pitch(four_parts: Score, qpm: int) -> None:
    rendering = sounded(four_parts, Settings(tempo_qpm=Fraction(qpm)))
    bar = round(4 * 60 / qpm * RATE_HZ)
    assert rendering.length_frames == 3 * bar
    for number, f0_hz in enumerate((493.883, 415.305, 329.628)):
        stem = rendering.stems(number * bar + bar // 4, (number + 1) * bar - bar // 8)[:, 0]
        assert abs(cents(by_fourier(stem, RATE_HZ, f0_hz), f0_hz)) < 0.15


def test_every_note_lies_at_its_exact_frame_after_many_odd_lengths(score_of: Callable[..., Score]) -> None:
    names = " ".join(["C4 D4"] * 300)
    score = score_of(names, length=Fraction(1, 3), qpm=97)
    at = frame_at(score.tempo, rate_hz=44_100)
    found = tones(score, references(score), at, which=(0,))
    assert found[-1].end_frame == round(Fraction(600, 3) * 60 / 97 * 44_100)
    assert all(a.end_frame == b.start_frame for a, b in pairwise(found))


def test_a_tempo_change_is_followed(score_of: Callable[..., Score]) -> None:
    tempo = TempoMap(((Fraction(0), Fraction(60)), (Fraction(4), Fraction(120))))
    at = frame_at(tempo, rate_hz=RATE_HZ, zero_frame=100)
    assert [at(Fraction(q)) for q in (0, 4, 6)] == [100, 100 + 4 * RATE_HZ, 100 + 5 * RATE_HZ]


def test_only_the_chosen_voices_sound(four_parts: Score) -> None:
    rendering = accompaniment(four_parts, Settings(), which=(0, 1, 3)).rendering
    stems = rendering.stems(RATE_HZ, 2 * RATE_HZ)
    assert not np.any(stems[:, 2])
    assert all(np.any(stems[:, k]) for k in (0, 1, 3))


def test_a_voice_keeps_its_loudness_when_another_falls_silent(four_parts: Score) -> None:
    alone = accompaniment(four_parts, Settings(), which=(1,)).rendering.stems(RATE_HZ, 2 * RATE_HZ)[:, 1]
    among = accompaniment(four_parts, Settings(), which=(0, 1, 3)).rendering.stems(RATE_HZ, 2 * RATE_HZ)[:, 1]
    assert np.array_equal(alone, among)


def test_a_neighbour_can_be_louder_and_in_one_ear(four_parts: Score) -> None:
    usual = accompaniment(four_parts, Settings(), which=(0,)).rendering.mix(RATE_HZ, 2 * RATE_HZ).astype(float)
    near = accompaniment(four_parts, Settings(), which=(0,), balance={0: Balance(-6.0, -1.0)}).rendering
    mix = near.mix(RATE_HZ, 2 * RATE_HZ).astype(float)
    assert np.abs(mix[:, 1]).max() < 1e-6
    assert abs(20 * np.log10(np.std(mix[:, 0]) / np.std(usual[:, 0])) - (3.01 - 6.0)) < 0.05


def test_rests_are_silent(score_of: Callable[..., Score]) -> None:
    stems = sounded(score_of("C4 . D4", "C3 C3 C3")).stems(0, 12 * RATE_HZ)
    assert not np.any(stems[4 * RATE_HZ : 8 * RATE_HZ, 0])
    assert np.any(stems[4 * RATE_HZ : 8 * RATE_HZ, 1])


@pytest.mark.parametrize(
    ("parts", "expected"),
    [
        (1, ["alto"]),
        (2, ["soprano", "bass"]),
        (3, ["soprano", "alto", "bass"]),
        (4, ["soprano", "alto", "tenor", "bass"]),
        (5, ["soprano", "soprano", "alto", "tenor", "bass"]),
        (8, ["soprano", "soprano", "soprano", "alto", "alto", "tenor", "tenor", "bass"]),
    ],
)
def test_any_number_of_voices_has_instruments(score_of: Callable[..., Score], parts: int, expected: list[str]) -> None:
    score = score_of(*["C4"] * parts)
    assert [instrument_of(score, k) for k in range(parts)] == expected


def test_a_note_too_short_for_a_frame_is_left_out(score_of: Callable[..., Score]) -> None:
    score = score_of("C4 D4", length=Fraction(1, 1_000_000))
    found: list[Tone] = tones(score, references(score), frame_at(score.tempo, rate_hz=RATE_HZ), which=(0,))
    assert found == []
