"""Where our own sound lies in a recording, out of what stretches of it say."""

from __future__ import annotations

import numpy as np
import pytest

from audio.units import RATE_HZ
from trainer.takes.place import clocks_apart, highest_near, place_anywhere, softly_cut, together

LONGEST = RATE_HZ
STRETCH_FRAMES = 36_000


def rows(*peaks: dict[int, float]) -> list[tuple[int, np.ndarray]]:
    """Stretches 1.5 s apart whose correlation is as high as said at these delays, and else as usual."""
    rng = np.random.default_rng(4)
    out = []
    for number, said in enumerate(peaks):
        row = np.abs(rng.standard_normal(LONGEST + 1)) * 0.6745
        for delay, height in said.items():
            row[delay] = height
        out.append((number * STRETCH_FRAMES, row))
    return out


def test_where_a_held_chord_fits_anywhere_the_delay_that_fits_all_stretches_is_believed() -> None:
    chord = {40: 40.0, 9_000: 35.0, 12_000: 38.0}
    told = together(
        rows(chord, {12_000: 9.0}, {12_003: 8.0, 700: 8.5}, {12_000: 7.0}, {12_000: 9.0}, {12_001: 10.0}, {12_000: 9.5})
    )
    assert told == [
        (number * STRETCH_FRAMES, delay)
        for number, delay in enumerate((12_000, 12_000, 12_003, 12_000, 12_000, 12_001, 12_000))
    ]


def test_two_clocks_60_in_a_million_apart_have_their_place_in_every_stretch() -> None:
    places = [(k * STRETCH_FRAMES, 10_800 + round(60e-6 * k * STRETCH_FRAMES)) for k in range(12)]
    assert together(rows(*({delay: 12.0} for _, delay in places))) == places


def test_peaks_of_which_each_stretch_has_another_are_nobodys_echo() -> None:
    assert together(rows(*({1_000 * k: 8.5} for k in range(1, 13)))) == []


def test_of_few_stretches_more_is_asked() -> None:
    assert together(rows({5_000: 7.0}, {5_000: 7.0})) == []
    assert together(rows({5_000: 9.0}, {5_000: 9.0})) == [(0, 5_000), (STRETCH_FRAMES, 5_000)]
    assert together(rows(*({5_000: 5.5} for _ in range(4)))) == []
    assert len(together(rows(*({5_000: 6.6} for _ in range(4))))) == 4


def test_a_clock_is_off_where_the_places_lie_on_a_line_and_not_where_a_room_scatters_them() -> None:
    line = [(k * STRETCH_FRAMES, 10_800 + round(60e-6 * k * STRETCH_FRAMES)) for k in range(6)]
    assert clocks_apart(line) == pytest.approx(60e-6, rel=0.1)
    scattered = [14_376, 14_390, 14_398, 14_399, 14_398, 14_384]
    assert clocks_apart([(k * STRETCH_FRAMES, delay) for k, delay in enumerate(scattered)]) == 0.0


def test_nothing_heard_is_found_nowhere() -> None:
    assert together([]) == []


def test_a_stretch_begins_and_ends_in_silence_and_keeps_its_middle() -> None:
    sound = np.ones(RATE_HZ)
    cut = softly_cut(sound)
    assert cut[0] == 0.0
    assert cut[-1] == 0.0
    assert np.array_equal(cut[RATE_HZ // 4 : -RATE_HZ // 4], sound[RATE_HZ // 4 : -RATE_HZ // 4])
    assert sound.min() == 1.0
    assert len(softly_cut(np.ones(7))) == 7


def music(seed: int, seconds: int) -> np.ndarray:
    """Something with every pitch in it, a tenth of a second each."""
    rng = np.random.default_rng(seed)
    t = np.arange(RATE_HZ // 10) / RATE_HZ
    return np.concatenate(
        [
            sum(np.sin(2 * np.pi * hz * h * t) / h for h in range(1, 9)) * np.hanning(len(t))
            for hz in rng.uniform(110.0, 660.0, 10 * seconds)
        ]
    )


def test_our_own_sound_is_found_far_from_where_it_was_said_to_be() -> None:
    played = music(1, 20)
    heard = music(2, 40)
    at = 17 * RATE_HZ + 1_234
    heard[at : at + len(played)] += 0.5 * played
    assert place_anywhere(played, heard, 0, len(heard)) == pytest.approx(at, abs=24)


def test_only_where_there_is_a_recording_is_anything_looked_for() -> None:
    played = music(1, 20)
    heard = np.zeros(70 * RATE_HZ)
    at = 25 * RATE_HZ
    heard[20 * RATE_HZ : 48 * RATE_HZ] = music(2, 28)
    heard[at : at + len(played)] += 0.5 * played
    assert place_anywhere(played, heard, 20 * RATE_HZ, 48 * RATE_HZ) == pytest.approx(at, abs=24)
    assert place_anywhere(played, heard, 28 * RATE_HZ, 48 * RATE_HZ) == pytest.approx(at, abs=24)  # begun before


@pytest.mark.parametrize(("begins_s", "ends_s"), [(5, 5), (20, 22), (66, 67), (0, 3), (70, 0), (5, 9)])
def test_in_a_moment_or_none_of_a_recording_nothing_is_found(begins_s: int, ends_s: int) -> None:
    assert place_anywhere(music(1, 8), music(2, 70), begins_s * RATE_HZ, ends_s * RATE_HZ) is None


def test_a_recording_that_ends_while_we_still_sound_shows_where_we_began() -> None:
    played = music(1, 20)
    heard = 0.1 * music(2, 40)
    at = 27 * RATE_HZ
    heard[at:] += played[: len(heard) - at]
    assert place_anywhere(played, heard, 0, len(heard)) == pytest.approx(at, abs=24)


def test_what_was_never_played_is_found_nowhere() -> None:
    assert place_anywhere(music(1, 20), music(2, 40), 0, 40 * RATE_HZ) is None
    assert place_anywhere(music(1, 20), np.zeros(40 * RATE_HZ), 0, 40 * RATE_HZ) is None
    assert place_anywhere(np.zeros(0), music(2, 40), 0, 40 * RATE_HZ) is None


def test_a_few_seconds_of_our_own_sound_are_no_proof() -> None:
    played, heard = music(1, 6), music(2, 40)
    heard[: len(played)] += played
    assert place_anywhere(played, heard, 0, len(heard)) is None


def test_the_highest_near_a_place_is_at_most_a_millisecond_off() -> None:
    row = np.random.default_rng(5).uniform(size=500)
    near = highest_near(row)
    assert near.shape == row.shape
    for at in (0, 7, 250, 499):
        assert near[at] == row[max(at - 24, 0) : at + 25].max()
