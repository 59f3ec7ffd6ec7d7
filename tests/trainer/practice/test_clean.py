"""A take is clean by five figures, each of which can spoil it alone."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from handmade_takes import clean_take, faulty_take, note, nothing_heard, take_of

from trainer.practice.clean import figures, is_clean, mark
from trainer.practice.signs import Sign
from trainer.practice.take import NoteVerdict, Take


def with_signs(*signs: Sign) -> Take:
    """Eleven bars, the first ones with these signs."""
    return take_of([note(bar, signs[bar - 1] if bar <= len(signs) else Sign.HELD) for bar in range(1, 12)])


def test_a_take_in_which_all_is_held_is_clean() -> None:
    assert is_clean(clean_take())
    assert figures(clean_take()).notes == figures(clean_take()).right == 11


@pytest.mark.parametrize(
    ("signs", "expected"),
    [
        ((Sign.OFF,), "clean"),  # 10 of 11 right
        ((Sign.OFF, Sign.OFF), "between"),
        ((Sign.PULLED,), "between"),  # one is one too many
        ((Sign.FLAT, Sign.SHARP), "clean"),  # 9 of 11 in tune
        ((Sign.FLAT,) * 3, "between"),  # 8 of 11
        ((Sign.LATE,) * 2, "clean"),  # 9 of 11 in time
        ((Sign.LATE,) * 3, "between"),
        ((Sign.UNSURE,), "clean"),  # 10 of 11 could be told
        ((Sign.UNSURE,) * 2, "between"),
        ((Sign.BREATH,) * 9, "clean"),
        ((Sign.OFF,) * 5, "poor"),  # 6 of 11 right
        ((Sign.OFF,) * 4, "between"),
        ((Sign.SILENT,), "between"),  # four beats of silence
    ],
)
def test_each_figure_has_its_limit(signs: tuple[Sign, ...], expected: str) -> None:
    assert mark(with_signs(*signs)) == expected


def test_one_silent_beat_of_many_is_forgiven() -> None:
    def short(bar: int, sign: Sign) -> NoteVerdict:
        return replace(note(1 + bar % 11, sign), bar=bar, length_beats=Fraction(1))

    take = take_of([short(bar, Sign.SILENT if bar == 3 else Sign.HELD) for bar in range(1, 21)])
    beats = tuple(replace(take.beats[0], bar=one.bar, sign=one.sign) for one in take.notes)
    assert is_clean(replace(take, beats=beats))
    twice = tuple(replace(beat, sign=Sign.SILENT) if beat.bar in (3, 4) else beat for beat in beats)
    assert not is_clean(replace(take, beats=twice))


def test_nothing_heard_and_takes_cut_short_are_neither_clean_nor_poor() -> None:
    assert mark(nothing_heard()) == "nothing"
    assert mark(replace(clean_take(), status="incomplete")) == "unfinished"
    assert mark(faulty_take()) != "clean"
