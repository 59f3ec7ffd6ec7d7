"""Six kinds of singers who know nothing of the program climb its ladder, and it says what stands in their way."""

from __future__ import annotations

from random import Random

import pytest
from practising import EXPECTED, climbed, climbed_by, company, ladder, named, take
from six_singers import BEGINNER, LENDER, SINGERS, STEADY, Singer

from trainer.practice.clean import mark


@pytest.mark.parametrize("singer", SINGERS, ids=lambda singer: singer.kind)
def test_what_stands_in_the_way_is_named(singer: Singer) -> None:
    found = named(singer, "tenor", 50)
    kind, to = EXPECTED[singer.kind]
    assert found.kind == kind
    assert to in (None, found.to)


def test_who_holds_the_line_comes_to_the_top_and_who_does_not_know_it_to_no_rung() -> None:
    assert climbed(STEADY, "tenor", 1).state == "top"
    assert climbed(BEGINNER, "tenor", 1).held == -1


def test_who_is_pulled_by_the_alto_ends_below_the_rung_on_which_the_alto_sounds() -> None:
    marks = {
        heard: [mark(take(LENDER, "tenor", heard, seed)) for seed in range(6)]
        for heard in {company(rung) for rung in ladder("tenor")}
    }
    ends = []
    for seed in range(40):
        chance = Random(seed)
        ends.append(climbed_by("tenor", lambda heard, chance=chance: chance.choice(marks[heard])))
    # one clean take of five is this singer's luck, so one ladder of many may end a rung too high
    assert sum(found.held == 2 for found in ends) >= 36
    assert all(found.state == "enough" for found in ends)
