"""What every instrument must do, whichever file it is in."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from pitch_measures import by_fourier, by_praat, cents

from audio.curve import PitchStep
from audio.instruments import LEVEL_DBFS, instruments
from audio.phrase import Phrase, Sung
from audio.units import db_to_gain

ALL = sorted(instruments())
HELD = [name for name in ALL if name != "click"]
PITCHES_HZ = [65.41, 110.0, 155.56, 261.63, 440.0, 783.99, 1046.5]


@pytest.mark.parametrize("rate_hz", [24_000, 44_100, 48_000])
@pytest.mark.parametrize("f0_hz", PITCHES_HZ)
@pytest.mark.parametrize("name", HELD)
def test_pitch_is_right_to_a_tenth_of_a_cent(name: str, f0_hz: float, rate_hz: int) -> None:
    sound = instruments()[name].tone(f0_hz, 3 * rate_hz, rate_hz, 1)[rate_hz // 2 : -rate_hz // 2]
    assert abs(cents(by_fourier(sound, rate_hz, f0_hz), f0_hz)) < 0.1


@pytest.mark.parametrize("f0_hz", PITCHES_HZ)
@pytest.mark.parametrize("name", HELD)
def test_praat_hears_the_same_pitch(name: str, f0_hz: float) -> None:
    sound = instruments()[name].tone(f0_hz, 96_000, 48_000, 1)[12_000:-12_000]
    assert abs(cents(by_praat(sound, 48_000, f0_hz), f0_hz)) < 0.3


@pytest.mark.parametrize("f0_hz", PITCHES_HZ)
@pytest.mark.parametrize("name", HELD)
def test_pitch_stands_still(name: str, f0_hz: float) -> None:
    sound = instruments()[name].tone(f0_hz, 4 * 48_000, 48_000, 1)
    halves = [by_fourier(sound[at : at + 72_000], 48_000, f0_hz) for at in (12_000, 60_000, 108_000)]
    assert max(abs(cents(half, f0_hz)) for half in halves) < 0.3  # a vibrato of 1 cent would show


@pytest.mark.parametrize("f0_hz", PITCHES_HZ)
@pytest.mark.parametrize("name", ALL)
def test_sound_stays_within_full_scale_and_ends_in_silence(name: str, f0_hz: float) -> None:
    sound = instruments()[name].tone(f0_hz, 48_000, 48_000, 1)
    assert sound.dtype == np.float32
    assert sound.shape == (48_000,)
    assert 0.1 < np.max(np.abs(sound)) <= 1.0
    assert abs(sound[0]) < 1e-4
    assert abs(sound[-1]) < 1e-4


@pytest.mark.parametrize("f0_hz", [110.0, 440.0])
@pytest.mark.parametrize("name", HELD)
def test_neither_end_clicks(name: str, f0_hz: float) -> None:
    sound = instruments()[name].tone(f0_hz, 48_000, 48_000, 1).astype(np.float64)
    steady = np.abs(np.diff(sound[16_000:32_000])).max()
    padded = np.abs(np.diff(np.concatenate((np.zeros(10), sound, np.zeros(10)))))
    assert max(padded[:4_800].max(), padded[-4_800:].max()) <= 1.05 * steady
    # a click is wide: above 5 kHz nothing may stand out at the ends against the steady middle
    bins = slice(500, None)  # 4800 frames at 48 kHz: 10 Hz a bin
    middle = np.abs(np.fft.rfft(sound[20_000:24_800] * np.hanning(4_800)))[bins].max()
    start = np.abs(np.fft.rfft(np.concatenate((np.zeros(2_400), sound[:2_400])) * np.hanning(4_800)))[bins].max()
    stop = np.abs(np.fft.rfft(np.concatenate((sound[-2_400:], np.zeros(2_400))) * np.hanning(4_800)))[bins].max()
    assert max(start, stop) < 1.5 * middle + 0.002


@pytest.mark.parametrize("name", ALL)
def test_one_seed_makes_one_sound(name: str) -> None:
    instrument = instruments()[name]
    assert np.array_equal(instrument.tone(220.0, 9_000, 48_000, 7), instrument.tone(220.0, 9_000, 48_000, 7))


@pytest.mark.parametrize("name", ["soprano", "alto", "tenor", "bass"])
def test_another_seed_breathes_otherwise(name: str) -> None:
    instrument = instruments()[name]
    assert not np.array_equal(instrument.tone(220.0, 9_000, 48_000, 7), instrument.tone(220.0, 9_000, 48_000, 8))


@pytest.mark.parametrize("name", HELD)
def test_a_steady_tone_has_the_stated_level(name: str) -> None:
    for f0_hz in PITCHES_HZ:
        steady = instruments()[name].tone(f0_hz, 96_000, 48_000, 1)[24_000:72_000]
        assert abs(10 * np.log10(np.mean(steady.astype(float) ** 2)) - LEVEL_DBFS) < 0.2


@pytest.mark.parametrize("f0_hz", [800.0, 1_000.0, 1_500.0])
def test_a_click_is_no_louder_than_a_voice(f0_hz: float) -> None:
    click = instruments()["click"].tone(f0_hz, 4_800, 48_000, 1).astype(float)
    loudest = max(np.mean(click[at : at + 960] ** 2) for at in range(0, 3_840, 48))
    assert loudest <= 1.05 * db_to_gain(LEVEL_DBFS) ** 2
    assert np.all(click[2_400:] == 0.0)


def two_notes(first_hz: float, second_hz: float) -> Phrase:
    return Phrase(
        (
            Sung(0, 20_000, (PitchStep(0, first_hz),)),
            Sung(20_000, 48_000, (PitchStep(20_000, second_hz), PitchStep(34_000, second_hz * 1.01))),
        ),
        48_000,
    )


@pytest.mark.parametrize("cuts", [[], [1], [19_999, 20_000, 20_001], list(range(0, 48_000, 1_024)), [47_999]])
@pytest.mark.parametrize("name", ALL)
def test_a_phrase_in_parts_is_the_whole_phrase(name: str, cuts: list[int]) -> None:
    phrase, instrument = two_notes(220.0, 246.94), instruments()[name]
    whole = instrument.phrase(phrase, 0, 48_000, 3)
    edges = sorted({0, *cuts, 48_000})
    parts = [instrument.phrase(phrase, a, b, 3) for a, b in pairwise(edges)]
    assert np.array_equal(np.concatenate(parts), whole)


@pytest.mark.parametrize("name", HELD)
def test_a_join_and_a_moving_reference_do_not_jump(name: str) -> None:
    sound = instruments()[name].phrase(two_notes(220.0, 246.94), 0, 48_000, 3).astype(np.float64)
    steady = np.abs(np.diff(sound[8_000:16_000])).max()
    for at in (20_000, 34_000):
        assert np.abs(np.diff(sound[at - 2_000 : at + 2_000])).max() < 1.15 * steady
        assert np.sqrt(np.mean(sound[at - 200 : at + 200] ** 2)) > 0.5 * db_to_gain(LEVEL_DBFS)  # no gap either


@pytest.mark.parametrize("name", HELD)
def test_a_reference_moved_inside_a_note_is_sounded(name: str) -> None:
    sound = instruments()[name].phrase(two_notes(220.0, 246.94), 0, 48_000, 3)
    assert abs(cents(by_fourier(sound[22_500:32_500], 48_000, 246.94), 246.94)) < 0.1
    assert abs(cents(by_fourier(sound[35_000:43_000], 48_000, 249.4), 246.94 * 1.01)) < 0.1


@pytest.mark.parametrize("name", ["soprano", "alto", "tenor", "bass", "tuning"])
def test_a_note_struck_again_is_heard_anew(name: str) -> None:
    sound = instruments()[name].phrase(two_notes(220.0, 220.0), 0, 48_000, 3)
    level = [np.sqrt(np.mean(sound[at - 240 : at + 240].astype(float) ** 2)) for at in (12_000, 20_000, 28_000)]
    assert level[1] < 0.4 * min(level[0], level[2])


def test_every_part_has_a_timbre_of_its_own() -> None:
    spectra = {}
    for name in ("soprano", "alto", "tenor", "bass"):
        sound = instruments()[name].tone(220.0, 48_000, 48_000, 1)[12_000:36_000]
        partials = np.abs(np.fft.rfft(sound))[110 : 110 * 16 : 110]
        spectra[name] = 20 * np.log10(partials / partials.max())
    names = list(spectra)
    for one in names:
        for other in names[names.index(one) + 1 :]:
            assert np.max(np.abs(spectra[one] - spectra[other])) > 6.0


# Averages of Peterson & Barney (1952), table II: who'd and hud of women, hod and hawed of men.
@pytest.mark.parametrize(
    ("name", "first_hz", "second_hz"),
    [("soprano", 370, 950), ("alto", 760, 1_400), ("tenor", 730, 1_090), ("bass", 570, 840)],
)
def test_each_part_sings_its_published_vowel(name: str, first_hz: float, second_hz: float) -> None:
    f0_hz = 55.0  # low, so that the partials lie close enough to draw the vowel
    sound = instruments()[name].tone(f0_hz, 96_000, 48_000, 1)[24_000:72_000].astype(float)
    bins = np.abs(np.fft.rfft(sound * np.hanning(len(sound))))
    strength = 20 * np.log10([bins[round(55 * k) - 2 : round(55 * k) + 3].max() for k in range(1, 40)])
    strength += 20 * np.log10(np.arange(1, 40)) * 1.4  # against the fall of the source
    for formant_hz in (first_hz, second_hz):
        nearest = round(formant_hz / f0_hz) - 1
        around = strength[nearest - 2 : nearest + 3]
        assert (
            1 <= int(np.argmax(around)) <= 3
        )  # a top within one partial of the printed place, not at the window's edge


@pytest.mark.parametrize("rate_hz", [8_000, 24_000])
@pytest.mark.parametrize(
    ("name", "most_db"), [("tenor", -50.0), ("tuning", -80.0)]
)  # breath noise is all the tenor has
def test_nothing_folds_down_from_above_the_band(name: str, most_db: float, rate_hz: int) -> None:
    sound = instruments()[name].tone(1_234.5, rate_hz, rate_hz, 1)[rate_hz // 4 : -rate_hz // 4]
    bins = np.abs(np.fft.rfft(sound * np.blackman(len(sound))))
    hz = np.fft.rfftfreq(len(sound), 1 / rate_hz)
    away = np.abs(hz / 1_234.5 - np.round(hz / 1_234.5)) * 1_234.5
    assert bins[(away > 40) & (hz > 100)].max() < db_to_gain(most_db) * bins.max()
