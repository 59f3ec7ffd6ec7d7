"""Chord, first note, counted bars and clicks come where a singer expects them."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import numpy as np
import pytest
from pitch_measures import by_fourier, cents

from audio.errors import SettingError
from trainer.practice.settings import Settings
from trainer.score.model import Score
from trainer.score.time import Meter
from trainer.voices.lead_in import FIRST_BEAT_HZ, OTHER_BEAT_HZ, counted_beats
from trainer.voices.sounding import Accompaniment, LeadIn, accompaniment

RATE_HZ = 48_000


def clicks(sound: Accompaniment) -> list[tuple[float, int]]:
    """Seconds and pitch of every click heard in the click's own channel."""
    channel = sound.rendering.channel_count - 1
    stem = sound.rendering.stems(0, sound.rendering.length_frames)[:, channel].astype(float)
    loud = np.flatnonzero(np.abs(stem) > 1e-3)
    starts = loud[np.flatnonzero(np.diff(loud, prepend=-RATE_HZ) > RATE_HZ // 20)]
    return [(round(s / RATE_HZ, 3), round(by_fourier(stem[s : s + 1_200], RATE_HZ, 1_250) / 500) * 500) for s in starts]


HIGH, LOW = round(FIRST_BEAT_HZ), round(OTHER_BEAT_HZ)


def test_one_bar_is_counted_and_its_first_click_is_higher(score_of: Callable[..., Score]) -> None:
    sound = accompaniment(score_of("C4", "C3"), Settings(), which=(0, 1), lead_in=LeadIn(count_in_bars=1))
    assert [pitch for _, pitch in clicks(sound)] == [HIGH, LOW, LOW, LOW]
    assert [seconds for seconds, _ in clicks(sound)] == pytest.approx([0, 1, 2, 3], abs=0.002)
    assert sound.music_frame == sound.bar_one_frame == 4 * RATE_HZ


def test_a_pickup_is_counted_into_its_own_bar(score_of: Callable[..., Score]) -> None:
    score = score_of("C4 D4 E4 F4 G4", length=Fraction(1), pickup=Fraction(1))
    assert counted_beats(score, 1) == [(Fraction(-7 + k), Fraction(1)) for k in range(7)]
    sound = accompaniment(score, Settings(), which=(0,), lead_in=LeadIn(count_in_bars=1), click="on")
    assert [pitch for _, pitch in clicks(sound)] == [HIGH, LOW, LOW, LOW, HIGH, LOW, LOW, LOW, HIGH, LOW, LOW, LOW]
    assert sound.music_frame == 7 * RATE_HZ
    assert sound.bar_one_frame == 8 * RATE_HZ


def test_six_eight_counts_eighths(score_of: Callable[..., Score]) -> None:
    score = score_of("C4 D4", length=Fraction(3), meter=Meter(6, 8))
    found = clicks(accompaniment(score, Settings(), which=(0,), lead_in=LeadIn(count_in_bars=1)))
    assert [pitch for _, pitch in found] == [HIGH] + [LOW] * 5
    assert found[1][0] == pytest.approx(0.5, abs=0.002)


def test_count_in_follows_the_tempo(score_of: Callable[..., Score]) -> None:
    sound = accompaniment(
        score_of("C4"), Settings(tempo_qpm=Fraction(120)), which=(0,), lead_in=LeadIn(count_in_bars=2)
    )
    assert sound.music_frame == 4 * RATE_HZ
    assert len(clicks(sound)) == 8


def test_without_asking_nothing_comes_before_the_music(score_of: Callable[..., Score]) -> None:
    sound = accompaniment(score_of("C4", "C3"), Settings(), which=(0, 1))
    assert sound.music_frame == 0
    assert sound.rendering.channel_count == 2
    assert counted_beats(score_of("C4"), 0) == []


def test_the_click_is_never_louder_than_the_voices(four_parts: Score) -> None:
    sound = accompaniment(four_parts, Settings(), which=(0, 1, 3), click="on")
    stems = sound.rendering.stems(RATE_HZ, 11 * RATE_HZ).astype(float)
    quietest_voice = min(np.sqrt(np.mean(stems[:, k] ** 2)) for k in (0, 1, 3))
    click = stems[:, 4]
    loudest = max(np.sqrt(np.mean(click[at : at + 960] ** 2)) for at in range(0, len(click) - 960, 96))
    assert 0 < loudest <= quietest_voice


def test_beat_one_is_higher_but_not_louder(four_parts: Score) -> None:
    sound = accompaniment(four_parts, Settings(), which=(), lead_in=LeadIn(count_in_bars=1))
    stem = sound.rendering.stems(0, 4 * RATE_HZ)[:, 4].astype(float)
    levels = [np.sqrt(np.mean(stem[k * RATE_HZ : k * RATE_HZ + 960] ** 2)) for k in range(4)]
    assert levels[0] <= 1.02 * min(levels[1:])


def partials(sound: Accompaniment, low_s: float, high_s: float, expected_hz: list[float]) -> list[float]:
    """How far, in cents, the strongest partial near each expected pitch lies from it."""
    stem = sound.rendering.stems(round(low_s * RATE_HZ), round(high_s * RATE_HZ))[:, -1]
    bins = np.abs(np.fft.rfft(stem * np.hanning(len(stem)), 1 << 20))
    found = []
    for f0_hz in expected_hz:
        low, high = (round(f0_hz * part * (1 << 20) / RATE_HZ) for part in (0.97, 1.03))
        top = low + int(np.argmax(bins[low:high]))
        assert bins[top] > 0.05 * bins.max()
        found.append(cents(top * RATE_HZ / (1 << 20), f0_hz))
    return found


@pytest.mark.parametrize(("against", "third"), [("equal", 1.2599), ("pure", 1.25)])
def test_the_chord_sounds_what_the_voices_will_sound(
    score_of: Callable[..., Score], against: str, third: float
) -> None:
    score = score_of("E4", "G3", "C3")
    sound = accompaniment(score, Settings(against=against), which=(), lead_in=LeadIn(key_chord=True))
    off = partials(sound, 1.0, 2.3, [130.813, 2 * 130.813 * third])
    assert max(abs(x) for x in off) < 1.5
    assert sound.music_frame == 3 * RATE_HZ


def test_the_chord_of_a_single_entry_is_the_closing_triad(score_of: Callable[..., Score]) -> None:
    minor = score_of("F4 D4", ". .")
    sound = accompaniment(minor, Settings(), which=(), lead_in=LeadIn(key_chord=True))
    assert max(abs(x) for x in partials(sound, 1.0, 2.3, [293.665, 349.228, 440.0])) < 1.5
    major = score_of("F#4 D4", ". .")
    sound = accompaniment(major, Settings(), which=(), lead_in=LeadIn(key_chord=True))
    assert max(abs(x) for x in partials(sound, 1.0, 2.3, [293.665, 369.994, 440.0])) < 1.5


@pytest.mark.parametrize(("octaves", "expected_hz"), [(0, 311.127), (-1, 155.563), (1, 622.254)])
def test_the_first_note_comes_in_the_singers_own_octave(four_parts: Score, octaves: int, expected_hz: float) -> None:
    lead_in = LeadIn(first_note_of=2, first_note_octaves=octaves)
    sound = accompaniment(four_parts, Settings(), which=(), lead_in=lead_in)
    stem = sound.rendering.stems(RATE_HZ // 4, 7 * RATE_HZ // 4)[:, 5]
    assert abs(cents(by_fourier(stem, RATE_HZ, expected_hz), expected_hz)) < 0.1


def test_all_of_it_comes_in_order_and_ends_before_the_music(four_parts: Score) -> None:
    lead_in = LeadIn(key_chord=True, first_note_of=2, count_in_bars=1)
    sound = accompaniment(four_parts, Settings(), which=(0, 1, 3), lead_in=lead_in, click="on")
    chord_s, note_s = 3.0, 2.5
    assert sound.music_frame == round((chord_s + note_s + 4) * RATE_HZ)
    before = [tone for tone in sound.tones if tone.channel == 5]
    assert max(tone.end_frame for tone in before) <= sound.music_frame - 4 * RATE_HZ
    assert min(tone.start_frame for tone in sound.tones if tone.channel < 4) == sound.music_frame


@pytest.mark.parametrize("bars", [-1, 9])
def test_a_count_that_nobody_wants_is_wrong_usage(bars: int) -> None:
    with pytest.raises(SettingError):
        LeadIn(count_in_bars=bars)
