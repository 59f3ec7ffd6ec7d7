"""``heldline library``: chosen by wishes, shown in the names that the singer reads."""

from __future__ import annotations

import pytest
from heldline_command import heldline


def test_wishes_choose_and_the_count_is_told_beside_the_list() -> None:
    done = heldline("library", "--voice", "tenor", "--species", "4")
    assert "Slow Train, Fog" in done.out
    assert "Ferry Bell" not in done.out
    assert " of " in done.err
    table = heldline("library", "--voice", "tenor", "--species", "4", "--json").table
    assert {(one["sing"], one["species"]) for one in table["exercises"]} == {("tenor", "4")}


def test_nothing_that_answers_is_no_error_and_the_wish_in_the_way_is_named() -> None:
    done = heldline("library", "--parts", "2", "--voice", "tenor")
    assert done.status == 0
    assert "without --" in done.out
    assert heldline("library", "--parts", "2", "--voice", "tenor", "--json").table["exercises"] == []


@pytest.mark.parametrize(
    "words",
    [
        ("--parts", "5"),
        ("--level", "thirteen"),
        ("--compass", "A3"),
        ("--mode", "lidian"),
        ("--names", "sol-fa"),
        ("show", "1", "--parts", "4"),
        ("show",),
    ],
)
def test_a_wish_that_cannot_be_is_wrong_usage_with_a_next_step(words: tuple[str, ...]) -> None:
    done = heldline("library", *words)
    assert done.status == 2
    assert len(done.err.strip().splitlines()) == 3
    assert done.out == ""


def test_one_is_shown_by_letters_degrees_or_syllables() -> None:
    # Ferry Bell's tenor in B dorian, named by hand: F#3 A3 B3 C#4 B3 F#3 ... D#3 at the close
    letters, degrees, syllables = (
        heldline("library", "show", "1", "--names", kind).out for kind in ("letters", "degrees", "sol-fa")
    )
    assert "tenor    F#3  A3   B3   C#4" in letters
    assert "tenor    5  7  1  2  1  5  6  7  6  5   #3" in degrees
    assert "1 is B; the voices begin on B4, B3, F#3, B2" in degrees
    assert "tenor    la  do  re  mi  re  la  ti  do  ti  la  fi" in syllables
    assert "do is A" in syllables


def test_a_degree_that_is_not_the_nearest_is_signed_and_held_notes_are_dashes() -> None:
    shown = heldline("library", "show", "Quarry Gate", "--names", "degrees").out
    assert "bass     1    _4 " in shown  # G#3 down a fifth to C#3
    assert "tenor    . 5  - 4 " in shown
