"""What is only the room after a note: a fall that goes on, by level alone. Levels in dB at every 5 ms, written by hand."""

from __future__ import annotations

import pytest

from audio.heard import PitchFrame
from trainer.judge.pitchline import PitchLine
from trainer.judge.tail import dies_away

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
