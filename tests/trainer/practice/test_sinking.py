"""Voices that sink: what they sound and what the singer is measured by goes down alike."""

from __future__ import annotations

from fractions import Fraction

import pytest
from heard_frames import Sung, frames
from written import score

from audio.errors import SettingError
from trainer.practice.settings import Settings
from trainer.practice.signs import Sign
from trainer.practice.sinking import references_under
from trainer.practice.take import Take
from trainer.takes.judging import judge

PIECE = score("G4 | A4 | G4 | A4 // E4 | F4 | E4 | F4 // C3 | F3 | C3 | F3")
SINKING = Settings(sinking_cents=60)


def take(cents_a_second: float, settings: Settings) -> Take:
    """The middle line, 16 seconds, sinking with the singer."""
    heard = [
        Sung(k / 4, (k + 1) / 4, note.pitch.midi - cents_a_second * k / 400)
        for k in range(64)
        if (note := PIECE.lines[1].at(Fraction(k, 4))) is not None
    ]
    return judge(PIECE, [1], frames(heard, 18.0), settings=settings).takes[0]


def test_references_go_down_by_so_much_a_minute_and_steady_ones_stay() -> None:
    steady = references_under(PIECE, Settings())[2][3][-1].pitch_c100
    last = references_under(PIECE, SINKING)[2][3][-1]
    assert last.to_quarters == 16
    assert steady - last.pitch_c100 == pytest.approx(
        1575, abs=30
    )  # a cent a second, in the middle of the last half beat
    first = references_under(PIECE, SINKING)[2][0][0]
    assert references_under(PIECE, Settings())[2][0][0].pitch_c100 - first.pitch_c100 == pytest.approx(25, abs=5)


def test_at_half_the_tempo_a_place_lies_twice_as_low() -> None:
    def low(qpm: int) -> int:
        settings = Settings(sinking_cents=60, tempo_qpm=Fraction(qpm))
        steady = references_under(PIECE, Settings())[0][3][-1].pitch_c100
        return steady - references_under(PIECE, settings)[0][3][-1].pitch_c100

    assert low(30) == pytest.approx(2 * low(60), rel=0.02)


def test_who_sinks_with_the_voices_is_in_tune_and_who_stays_is_sharp_by_the_end() -> None:
    settings = Settings(sinking_cents=60, tolerance_cents=10)
    along, stays = take(1.0, settings), take(0.0, settings)
    assert [note.sign for note in along.notes] == [Sign.HELD] * 4
    assert max(abs(note.cents or 0) for note in along.notes) <= 3
    assert [note.sign for note in stays.notes][-1] == Sign.SHARP
    assert stays.notes[-1].cents == pytest.approx(14, abs=2)
    assert [note.sign for note in take(1.0, Settings(tolerance_cents=10)).notes][-1] == Sign.FLAT


@pytest.mark.parametrize("cents", [-1, 61])
def test_what_no_choir_does_is_refused(cents: int) -> None:
    with pytest.raises(SettingError, match="cents a minute"):
        Settings(sinking_cents=cents)
