"""Which bars are rehearsed first: what failed, what the leader noted, what the score foretells."""

from __future__ import annotations

import pytest

from trainer.library import resolve
from trainer.score.model import Score
from trainer.section.copies import Copies
from trainer.section.places import Place, for_a_turn, places_of, with_run_up

ALTO, TENOR = 1, 2


@pytest.fixture(scope="module")
def score() -> Score:
    return resolve("Ferry Bell at Low Water")


def places(score: Score, *, notes=None, failed=()):
    return places_of(score, TENOR, notes=notes or {}, failed=failed, copies=Copies(score))


def test_a_few_places_are_foretold_and_each_says_why(score: Score) -> None:
    found = places(score)
    assert 1 <= len(found) <= 3
    assert all(place.says for place in found)
    # the fall of a fourth into bar 6, and the bars round the note shared with the alto in bar 8 (told by hand)
    bars = {bar for place in found for bar in range(place.first, place.last + 1)}
    assert bars & {6, 7, 8, 9}


def test_what_failed_comes_first_then_the_leaders_notes(score: Score) -> None:
    found = places(score, notes={3: "lean on the C sharp"}, failed=[(10, "2 of 7 held; 5 pulled to the alto")])
    assert (found[0].first, found[0].last) == (10, 10)
    assert "last time 2 of 7 held" in found[0].says
    assert (found[1].first, found[1].says) == (3, "your note: lean on the C sharp")
    assert len(found) >= 3


def test_neighbours_become_one_place_that_says_which_is_which(score: Score) -> None:
    (first, *_) = places(score, failed=[(4, "1 of 3 held"), (3, "2 of 3 held")])
    assert (first.first, first.last) == (3, 4)
    assert first.says == "in 3, last time 2 of 3 held; in 4, last time 1 of 3 held"


def test_a_place_begins_a_bar_before_and_a_turn_has_four_bars(score: Score) -> None:
    place = Place(10, 10, "")
    assert with_run_up(score, place) == (9, 10)
    assert for_a_turn(score, 9, 10) == (8, 11)
    assert for_a_turn(score, 3, 4) == (3, 6)
    assert for_a_turn(score, 2, 9) == (2, 9)
    assert with_run_up(score, Place(1, 1, "")) == (1, 1)
