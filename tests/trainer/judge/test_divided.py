"""A divided section from its notes."""

from __future__ import annotations

from fractions import Fraction

import pytest

from trainer.judge.divided import HEARD, MISSING, UNSURE, DividedNote, Half, HalfNote, divided_take


def notes(*uppers: HalfNote) -> list[DividedNote]:
    lower = HalfNote("D4", HEARD, -20)
    return [DividedNote(bar, Fraction(1), str(bar), upper, lower) for bar, upper in enumerate(uppers, start=1)]


def heard(cents: int) -> HalfNote:
    return HalfNote("F4", HEARD, cents)


GONE, DOUBTFUL = HalfNote("F4", MISSING), HalfNote("E4", UNSURE)


@pytest.mark.parametrize(
    ("uppers", "half"),
    [
        ((heard(8), heard(2), heard(30)), Half("alto 1", HEARD, 3, 3, 13)),
        ((heard(8), DOUBTFUL, GONE), Half("alto 1", HEARD, 1, 2, 8)),
        ((GONE, GONE, GONE, heard(60), GONE), Half("alto 1", MISSING, 1, 5, None)),
        ((heard(60), GONE, GONE, GONE), Half("alto 1", HEARD, 1, 4, 60)),
        ((DOUBTFUL,), Half("alto 1", UNSURE, 0, 0, None)),
        ((), Half("alto 1", UNSURE, 0, 0, None)),
    ],
)
def test_a_line_is_told_from_the_notes_that_could_be(uppers: tuple[HalfNote, ...], half: Half) -> None:
    take = divided_take(notes(*uppers), "alto 1", "alto 2")
    assert take.upper == half
    assert take.lower == Half("alto 2", HEARD if uppers else UNSURE, len(uppers), len(uppers), -20 if uppers else None)
