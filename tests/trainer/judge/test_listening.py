"""What a span held, from frames written by hand."""

from __future__ import annotations

import pytest

from audio.heard import PitchFrame
from trainer.judge.listening import Levels, listen
from trainer.judge.phonation import segments
from trainer.judge.pitchline import PitchLine
from trainer.judge.span import Span

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
