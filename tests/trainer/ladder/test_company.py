"""Alone against in company, why a line is not held, and bars of silence: words from takes made by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from kept_takes import judged

from trainer.ladder.cause import LOST, NOTES, NOTHING, PULLED, SINKING, cause
from trainer.ladder.company import cost, cost_words
from trainer.ladder.fallen_silent import returned_words
from trainer.library import resolve
from trainer.practice.signs import Sign
from trainer.practice.take import Take
from trainer.score.model import Score

TENOR = 2


@pytest.fixture(scope="module")
def score() -> Score:
    return resolve("Ferry Bell at Low Water")


def take(score: Score, *wrong: int, sign: Sign = Sign.OFF, to: str = "soprano", **more: object) -> Take:
    """The tenor with these bars wrong."""
    made = judged(score, TENOR, dict.fromkeys((bar - 1 for bar in wrong), sign), pulled_to=to)
    return replace(made, **more)  # type: ignore[arg-type]


def test_who_knows_the_notes_is_told_what_company_costs_and_to_whom(score: Score) -> None:
    found = cost(take(score), take(score, 8, 9, 10, sign=Sign.PULLED))
    assert cost_words(found) == "you know the notes; company costs you 3 of 11, all to the soprano"
    mixed = judged(score, TENOR, {7: Sign.PULLED, 8: Sign.OFF})
    assert (
        cost_words(cost(take(score), mixed)) == "you know the notes; company costs you 2 of 11, 1 of them to the alto"
    )


def test_who_does_not_know_the_notes_is_told_that_first(score: Score) -> None:
    found = cost(take(score, 2, 3, 4), take(score, 2, 3, 4, 9))
    assert not found.knows_the_notes
    assert cost_words(found) == "alone you hold 8 of 11 notes; company costs you 1 of 11"


def test_where_company_costs_nothing_that_is_said_and_unsure_notes_count_for_nothing(score: Score) -> None:
    assert "the same notes are held" in cost_words(cost(take(score, 3), take(score, 3)))
    unsure = cost(take(score, 1, 2, sign=Sign.UNSURE), take(score, 2, 3, sign=Sign.PULLED))
    assert (unsure.notes, unsure.lost) == (9, 1)


def test_the_cause_is_the_cure_that_comes_first(score: Score) -> None:
    clean = take(score)
    pulled = take(score, 9, 10, sign=Sign.PULLED, to="alto")
    assert cause([clean, clean], [clean, clean]).kind == NOTHING
    assert cause([clean, clean], [pulled, pulled]) == replace(cause([], [pulled]), kind=PULLED, to="alto")
    wide = take(score, 2, 4, 7, 9, 11)
    assert cause([wide, wide], [wide, wide]).kind == NOTES
    # the tenor falls a fourth into bar 6
    lost = take(score, 6, 7)
    found = cause([lost, lost], [lost, lost])
    assert (found.kind, found.bar) == (LOST, "bar 6")
    flat = judged(score, TENOR, dict.fromkeys(range(5, 11), Sign.FLAT))
    sinking = replace(
        flat, drift_cents=-70, notes=tuple(replace(n, cents=-40 if n.sign is Sign.FLAT else 0) for n in flat.notes)
    )
    assert cause([sinking, sinking], [sinking, sinking]).kind == SINKING


def test_one_take_of_three_that_was_pulled_is_not_overlooked(score: Score) -> None:
    clean, pulled = take(score), take(score, 9, 10, sign=Sign.PULLED, to="alto")
    assert cause([clean] * 3, [clean, pulled, clean]).to == "alto"
    assert cause([clean] * 5, [clean, pulled, clean, clean, clean]).kind == NOTHING


def test_pulled_notes_that_are_wrong_alone_too_are_nobodys_pull(score: Score) -> None:
    wide = take(score, 2, 4, 7, 9, 11)
    mixed = judged(score, TENOR, {1: Sign.PULLED, 3: Sign.OFF, 6: Sign.OFF, 8: Sign.OFF, 10: Sign.OFF})
    assert cause([wide, wide], [mixed, mixed]).kind == NOTES


def test_each_cause_has_its_sentence(score: Score) -> None:
    clean, pulled = take(score), take(score, 9, 10, sign=Sign.PULLED, to="alto")
    assert cause([clean], [pulled]).says() == "you know the notes, and the alto takes them from you"
    assert cause([], []).says() == "nothing stands in the way"


def test_how_far_off_somebody_was_when_the_voices_came_back(score: Score) -> None:
    made = take(score)
    flat = tuple(replace(n, cents=-23) if n.bar == 6 else n for n in made.notes)
    told = returned_words(replace(made, notes=flat), (5, 6))
    assert (
        told == "In bars 5 to 6 the voices fell silent: you were 23 cents below at the end of it, back in bar 7 held."
    )
    assert "in tune with them" in returned_words(made, (5, 6))
    low = tuple(replace(n, cents=-31, signs=(Sign.FLAT,)) if n.bar == 7 else n for n in flat)
    assert returned_words(replace(made, notes=low), (5, 6)).endswith("back in bar 7 not in tune, 31 cents flat.")
    higher = tuple(replace(n, cents=14) if n.bar == 7 else n for n in flat)
    assert returned_words(replace(made, notes=higher), (5, 6)).endswith("back in bar 7 held, 14 cents sharp.")
    late = returned_words(take(score, 7, sign=Sign.LATE), (5, 5))
    assert late.startswith("In bar 5")
    silent = judged(score, TENOR, dict.fromkeys((4, 5), Sign.SILENT))
    assert "and so did you" in returned_words(silent, (5, 6))
    assert returned_words(made, (11, 11)) == ""
