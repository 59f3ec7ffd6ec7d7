"""Whose turn it is, in any order, each once, and who would rather not."""

from __future__ import annotations

import pytest

from trainer.section.labels import BIRDS, LabelTwice, birds, desks_of
from trainer.section.turns import Turns

FOUR = Turns(("wren", "heron", "teal", "dunlin"))


def test_desks_sing_in_their_order_each_once() -> None:
    turns, order = FOUR, []
    while turns.now is not None:
        order.append(turns.now)
        turns = turns.after(turns.now)
    assert tuple(order) == FOUR.desks


def test_any_desk_may_come_first_and_nobody_is_left_out() -> None:
    turns = FOUR.to(2)
    assert turns.now == "teal"
    turns = turns.after("teal")
    assert turns.waiting == ("dunlin", "wren", "heron")
    assert FOUR.moved(1).now == "heron"
    assert FOUR.moved(-1).now == "dunlin"
    assert FOUR.to(9) == FOUR


def test_passing_goes_to_the_next_and_is_nothing_that_was_sung() -> None:
    turns = FOUR.passing()
    assert turns.now == "heron"
    assert turns.sung == frozenset()
    assert turns.to(0).now == "wren"  # who changes their mind sings after all
    everybody = FOUR.passing().passing().passing().passing()
    assert everybody.now is None
    assert everybody.passing() == everybody


def test_a_desk_that_has_sung_may_sing_again() -> None:
    turns = FOUR.after("wren").after("heron").to(0)
    assert turns.now == "wren"
    assert turns.after("wren").now == "teal"


def test_a_latecomer_sings_last() -> None:
    assert FOUR.joined("avocet").waiting[-1] == "avocet"


def test_labels_are_birds_that_nobody_has_and_numbers_where_birds_run_out() -> None:
    assert desks_of("3") == BIRDS[:3]
    assert birds(1, ("wren", "heron")) == ("teal",)
    many = desks_of("20")
    assert len(set(many)) == 20
    assert many[16:] == ("desk 1", "desk 2", "desk 3", "desk 4")
    assert desks_of("Avocet, Row 2") == ("Avocet", "Row 2")


def test_a_label_twice_and_what_is_no_number_are_one_sentence() -> None:
    with pytest.raises(LabelTwice, match="two desks are called wren"):
        desks_of("wren,heron,Wren".replace("Wren", "wren"))
    with pytest.raises(LabelTwice):
        desks_of("wren,WREN")
    for words in ("0", "41", "wren,,heron", ""):
        with pytest.raises(ValueError, match="desks"):
            desks_of(words)
