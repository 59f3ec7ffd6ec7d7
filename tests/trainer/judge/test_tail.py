"""What is only the room after a note: a fall that goes on, by level alone. Levels in dB at every 5 ms, written by hand."""

from __future__ import annotations

import pytest

from audio.heard import PitchFrame
from trainer.judge.pitchline import PitchLine
from trainer.judge.tail import dies_away, fades_out

HOP, MS = 120, 24


def line_of(*levels_db: float) -> PitchLine:
    """A line of one pitch."""
    line = PitchLine()
    for k, level in enumerate(levels_db):
        line.append(PitchFrame(0, k * HOP, 600_000, 3, True, 950, round(level * 10)))
    return line


def after_a_note(*levels_db: float) -> bool:
    """Whether what is heard from 500 ms on, after a note of -20 dB, dies away."""
    return dies_away(line_of(*[-20.0] * 100, *levels_db), 500 * MS, (500 + 5 * len(levels_db)) * MS)


def falling(first_db: float, db_a_second: float, ms: int) -> list[float]:
    """Levels of a room."""
    return [first_db - db_a_second * k / 200 for k in range(ms // 5)]


@pytest.mark.parametrize("rt60_s", [0.8, 1.5, 2.5, 3.4])
@pytest.mark.parametrize("ms", [300, 500, 1_000])
def test_a_room_that_falls_by_sixty_db_in_its_reverberation_time_dies_away(rt60_s: float, ms: int) -> None:
    assert after_a_note(*falling(-26, 60 / rt60_s, ms))


@pytest.mark.parametrize("ms", [250, 313, 500, 1_000])
@pytest.mark.parametrize("softer_db", [4, 7, 12])
def test_a_note_begun_again_more_softly_stays_where_it_is_and_is_no_tail(ms: int, softer_db: int) -> None:
    sung = [-33.0] * 4 + [-20.0 - softer_db] * (ms // 5 - 12) + falling(-20 - softer_db, 500, 40)
    assert not after_a_note(*sung)


def test_a_note_that_comes_back_is_no_tail() -> None:
    assert not after_a_note(*falling(-28, 40, 300), *[-27.0] * 40)
    assert not after_a_note(*falling(-21, 20, 200))


def test_what_is_far_softer_at_once_is_the_room_though_it_falls_no_more() -> None:
    assert after_a_note(*[-36.0] * 80)
    assert not after_a_note(*[-34.0] * 80)


FAINT_DB10 = -480


def fades_into(*levels_db: float, voiced: bool = False) -> bool:
    """Whether a note of -20 dB only fades into the next one, due at 500 ms; whether *voiced* or not, the levels are those."""
    line = line_of(*[-20.0] * 100, *levels_db)
    line = line.with_voiced([True] * 100 + [voiced] * len(levels_db))
    return fades_out(line, 500 * MS, (500 + 5 * len(levels_db)) * MS, FAINT_DB10)


@pytest.mark.parametrize("rt60_s", [0.15, 0.4, 0.8])
@pytest.mark.parametrize("ms", [500, 833, 2_000])
def test_a_note_left_out_in_a_room_is_the_fading_of_the_one_before_however_much_tone_is_in_it(
    rt60_s: float, ms: int
) -> None:
    left_over = -56.0  # of our own voices
    assert fades_into(*(max(level, left_over) for level in falling(-26, 60 / rt60_s, ms)))


@pytest.mark.parametrize("softer_db", [5, 12, 20])
def test_a_note_sung_softly_is_no_fading(softer_db: int) -> None:
    assert not fades_into(*falling(-26, 150, 60), *[-20.0 - softer_db] * 88)
    assert not fades_into(*falling(-26, 150, 60), *[-20.0 - softer_db] * 88, voiced=True)


def test_a_short_note_in_a_note_left_out_otherwise_is_no_fading() -> None:
    assert not fades_into(*falling(-26, 150, 100), *[-26.0] * 30, *falling(-40, 100, 250))


def test_what_is_voiced_at_the_end_is_no_fading_however_soft() -> None:
    assert not fades_into(*falling(-26, 150, 200), *[-56.0] * 60, voiced=True)


def test_of_what_stays_half_as_loud_as_a_singer_nobody_can_say() -> None:
    assert not fades_into(*falling(-26, 150, 120), *[-42.0] * 76)
