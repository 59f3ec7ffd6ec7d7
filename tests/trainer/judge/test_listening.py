"""What a span held, from frames written by hand."""

from __future__ import annotations

import pytest

from audio.heard import PitchFrame
from trainer.judge.listening import Levels, listen
from trainer.judge.phonation import segments
from trainer.judge.pitchline import PitchLine
from trainer.judge.reading import Frame, read
from trainer.judge.span import Span
from trainer.practice.signs import Sign

HOP, MS = 120, 24
NOTE_C100 = 570_000
SPAN = Span(0, 1_000 * MS, True, True, ((0, 1_000 * MS, NOTE_C100),), -500 * MS, 1_500 * MS, None, NOTE_C100 + 40_000)


@pytest.mark.parametrize(("until_ms", "gaps"), [(1_400, ((1_400 * MS, 1_500 * MS),)), (1_500, ()), (1_700, ())])
def test_a_gap_after_a_note_is_never_shorter_than_nothing(until_ms: int, gaps: tuple[tuple[int, int], ...]) -> None:
    line = PitchLine()
    for k in range(400):
        sung = 5 * k < until_ms
        line.append(PitchFrame(0, k * HOP + HOP // 2, NOTE_C100, 3, sung, 950 if sung else 30, -250 if sung else -600))
    heard = listen(line, segments(line, 0, 400 * HOP), SPAN, levels=Levels(-480, -600, -500))
    assert heard.silences == gaps


FRAME = Frame(0, 0, 3_500, 80 * MS, 500 * MS, False, True, False, False, 0, False)


@pytest.mark.parametrize(
    ("floor_db", "sign"), [(-56.0, Sign.SILENT), (-40.0, Sign.UNSURE)], ids=["nothing after it", "something after it"]
)
def test_a_repeated_note_left_out_in_a_room_is_silent_where_the_room_is_all_that_sounds(
    floor_db: float, sign: Sign
) -> None:
    line = PitchLine()
    for k in range(-100, 200):
        level_db = -20.0 if k < 0 else max(-30.0 - 40 * k / 200, floor_db)
        line.append(
            PitchFrame(0, k * HOP, NOTE_C100, 3, k < 8, 950 if k < 8 else 300 if k < 130 else 70, round(10 * level_db))
        )
    again = Span(0, 1_000 * MS, True, True, ((0, 1_000 * MS, NOTE_C100),), -500 * MS, 1_500 * MS, NOTE_C100, None)
    heard = listen(line, segments(line, -100 * HOP, 200 * HOP), again, levels=Levels(-300, -600, -490))
    assert read(heard, again, FRAME).signs == {sign}
