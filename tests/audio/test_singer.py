"""The pretend singer sings what she is told: every planted number is found again in the sound by other means."""

from __future__ import annotations

import numpy as np
import parselmouth
import pytest
from pitch_measures import by_praat, cents

from audio.singer import Throat, Utterance, laid_out, sing
from audio.units import c100_to_hz

RATE_HZ = 24_000
STEADY = Throat(flutter_cents=0.0, jitter_cents=0.0)
F3 = 540_000  # F#3, c100


def sound_of(notes: list[Utterance], throat: Throat = STEADY, seconds: float = 3.0) -> np.ndarray:
    return np.concatenate(list(laid_out(sing(notes, throat, RATE_HZ), round(seconds * RATE_HZ), 1_000)))


def note(start_s: float, end_s: float, c100: float = F3, **more: object) -> Utterance:
    fields: dict[str, object] = {"from_c100": c100, "to_c100": c100, **more}
    return Utterance(round(start_s * RATE_HZ), round(end_s * RATE_HZ), **fields)  # type: ignore[arg-type]


def part(sound: np.ndarray, low_s: float, high_s: float) -> np.ndarray:
    return sound[round(low_s * RATE_HZ) : round(high_s * RATE_HZ)]


def level_db(sound: np.ndarray) -> float:
    return float(10 * np.log10(np.mean(sound.astype(float) ** 2) + 1e-20))


def line_cents(sound: np.ndarray, near_hz: float) -> tuple[np.ndarray, np.ndarray]:
    """Praat's pitch line: seconds, and cents from *near_hz*, voiced frames only."""
    pitch = parselmouth.Sound(sound.astype(float), RATE_HZ).to_pitch_ac(
        0.005, near_hz / 1.4, 15, True, 0.03, 0.45, 0.01, 0.35, 0.14, near_hz * 1.4
    )
    f0_hz = pitch.selected_array["frequency"]
    return pitch.xs()[f0_hz > 0], 1200 * np.log2(f0_hz[f0_hz > 0] / near_hz)


@pytest.mark.parametrize("manner", ["sung", "hummed", "whistled"])
@pytest.mark.parametrize("c100", [F3 - 120_000, F3, F3 + 3_700, F3 + 240_000])
def test_a_note_has_the_pitch_it_was_given(manner: str, c100: float) -> None:
    sound = part(sound_of([note(0.5, 2.5, c100, manner=manner)]), 0.8, 2.2)
    assert abs(cents(by_praat(sound, RATE_HZ, c100_to_hz(c100)), c100_to_hz(c100))) < 0.5


def test_flutter_and_jitter_stay_small_and_centred() -> None:
    offs = []
    for seed in range(8):
        sound = part(sound_of([note(0.5, 2.5)], Throat(seed=seed)), 0.8, 2.2)
        _, off = line_cents(sound, c100_to_hz(F3))
        offs.append(np.median(off))
        assert 1.0 < np.std(off) < 8.0
    assert abs(np.mean(offs)) < 2.0
    assert max(abs(off) for off in offs) < 4.0


def test_onset_and_end_are_where_they_were_put() -> None:
    sound = sound_of([note(1.0, 2.0)])
    steady = level_db(part(sound, 1.3, 1.7))
    assert level_db(part(sound, 0.85, 0.93)) < steady - 40
    assert level_db(part(sound, 0.96, 0.995)) < steady - 15  # only breath before the vowel
    assert level_db(part(sound, 1.03, 1.06)) > steady - 3
    assert level_db(part(sound, 1.88, 1.92)) > steady - 3
    assert level_db(part(sound, 2.0, 2.2)) < steady - 60


def test_vibrato_has_its_rate_extent_and_centre() -> None:
    throat = Throat(vibrato_hz=5.5, vibrato_cents=60.0, flutter_cents=0.0, jitter_cents=0.0)
    seconds, off = line_cents(part(sound_of([note(0.2, 2.9)], throat), 0.6, 2.8), c100_to_hz(F3))
    wave = off - np.mean(off)
    bins = np.abs(np.fft.rfft(np.interp(np.arange(0, 2.0, 0.005), seconds, wave) * np.hanning(400), 8_000))
    assert abs(np.argmax(bins) / 40.0 - 5.5) < 0.15
    assert 45 < (np.max(off) - np.min(off)) / 2 < 65  # Praat's window smooths a little
    assert abs(np.mean(off)) < 2.5


def test_a_scoop_is_entered_from_below_and_gone_after_a_quarter_of_a_second() -> None:
    seconds, off = line_cents(sound_of([note(0.5, 2.0, scoop_cents=-200.0)]), c100_to_hz(F3))
    early = off[(seconds > 0.52) & (seconds < 0.56)]
    assert -200 < np.mean(early) < -60
    assert abs(np.mean(off[(seconds > 0.8) & (seconds < 1.8)])) < 1.0


def test_a_note_may_sink_along_its_way() -> None:
    seconds, off = line_cents(sound_of([note(0.5, 2.5, to_c100=F3 - 4_000)]), c100_to_hz(F3))
    inside = (seconds > 0.7) & (seconds < 2.3)
    slope = np.polyfit(seconds[inside], off[inside], 1)[0]
    assert abs(slope - -20.0) < 0.5


def test_a_crack_has_no_pitch_but_has_sound() -> None:
    sound = sound_of([note(0.5, 2.5, manner="cracked")])
    assert level_db(part(sound, 1.0, 2.0)) > -30
    seconds, _ = line_cents(sound, c100_to_hz(F3))
    assert np.sum((seconds > 0.7) & (seconds < 2.3)) < 10  # hardly one of 320 frames that Praat calls voiced


def test_a_whistle_is_nearly_one_partial() -> None:
    sound = part(sound_of([note(0.5, 2.5, F3 + 240_000, manner="whistled")]), 1.0, 2.0).astype(float)
    bins = np.abs(np.fft.rfft(sound * np.hanning(len(sound)))) ** 2
    f0_bin = round(c100_to_hz(F3 + 240_000))
    assert bins[f0_bin - 4 : f0_bin + 5].sum() > 0.97 * bins.sum()


def test_joined_notes_slide_without_a_gap_and_a_repeated_note_is_struck_anew() -> None:
    joined = sound_of([note(0.5, 1.5), note(1.5, 2.5, F3 + 20_000)])
    again = sound_of([note(0.5, 1.5), note(1.5, 2.5)])
    steady = level_db(part(joined, 0.8, 1.2))
    assert level_db(part(joined, 1.49, 1.51)) > steady - 9
    assert level_db(part(again, 1.495, 1.505)) < steady - 15
    assert (
        np.abs(np.diff(part(joined, 1.4, 1.6).astype(float))).max()
        < 1.3 * np.abs(np.diff(part(joined, 0.8, 1.4))).max()
    )


def test_one_seed_is_one_sound_and_another_is_another() -> None:
    assert np.array_equal(sound_of([note(0.5, 2.0)], Throat(seed=3)), sound_of([note(0.5, 2.0)], Throat(seed=3)))
    assert not np.array_equal(sound_of([note(0.5, 2.0)], Throat(seed=3)), sound_of([note(0.5, 2.0)], Throat(seed=4)))


@pytest.mark.parametrize("block_frames", [1, 999, 5_000, 200_000])
def test_laying_out_loses_nothing_whatever_the_block(block_frames: int) -> None:
    pieces = [(10, np.full(50, 1, np.float32)), (40, np.full(30, 2, np.float32)), (500, np.full(7, 3, np.float32))]
    expected = np.zeros(600, dtype=np.float32)
    for start, sound in pieces:
        expected[start : start + len(sound)] += sound
    assert np.array_equal(np.concatenate(list(laid_out(pieces, 600, block_frames))), expected)


def test_the_first_blocks_come_before_the_last_note_is_made() -> None:
    made: list[int] = []

    def notes():  # type: ignore[no-untyped-def]
        for k in range(50):
            made.append(k)
            yield note(k, k + 1)

    blocks = laid_out(sing(notes(), STEADY, RATE_HZ), 50 * RATE_HZ, 2_048)
    next(blocks)
    assert len(made) <= 3
