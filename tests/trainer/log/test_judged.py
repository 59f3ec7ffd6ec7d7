"""A performance is kept exactly, and what is no performance is said to be none."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from handmade_takes import clean_take, faulty_take, nothing_heard

from trainer.log.judged import performance_of, performance_text
from trainer.practice.settings import Settings
from trainer.practice.take import Performance, TempoPoint


@pytest.mark.parametrize("take", [clean_take(), faulty_take(), nothing_heard()])
def test_a_performance_comes_back_exactly(take: object) -> None:
    performance = Performance((take,))  # type: ignore[arg-type]
    assert performance_of(performance_text(performance)) == performance


def test_every_field_comes_back_whatever_it_holds() -> None:
    take = replace(
        faulty_take(),
        settings=Settings(a4_hz=442.5, tempo_qpm=Fraction(121, 3), starts_at_s=Fraction(-1, 7), alone=True),
        tempo_line=(TempoPoint(1, Fraction(7, 2), 0.1 + 0.2, 59.99),),
    )
    performance = Performance((take, clean_take()))
    back = performance_of(performance_text(performance))
    assert back == performance
    assert back.takes[0].tempo_line[0].time_s == 0.1 + 0.2


@pytest.mark.parametrize(
    "text", ["", "words", "[]", "3", "{}", '{"k": 99, "v": []}', '{"k": 0, "v": []}', '{"k": 1, "v": [1]}', '{"s": "loud"}', '{"q": "1/0"}']
)  # fmt: skip
def test_anything_else_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="no performance"):
        performance_of(text)
