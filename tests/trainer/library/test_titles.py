"""Invented titles: one a number, never two alike."""

from __future__ import annotations

from itertools import islice, pairwise

from trainer.library import exercises
from trainer.library.titles import COUNT, title, titles


def test_every_number_has_a_title_of_its_own() -> None:
    assert len({title(number).lower() for number in range(COUNT)}) == COUNT
    assert title(COUNT + 7) == title(7)


def test_a_number_always_gives_the_same_title() -> None:
    assert [title(number) for number in (0, 1, 2, 5547)] == [
        "Anchor at High Water",
        "The Old Lock Gate",
        "Winnowing Floor, Half Painted",
        "Past the Mason's Line",
    ]


def test_neighbours_share_neither_thing_nor_frame() -> None:
    words = [
        set(title(number).lower().replace(",", "").split()) - {"the", "a", "on", "at", "in"} for number in range(60)
    ]
    assert not any(one & other for one, other in pairwise(words))


def test_titles_that_are_taken_are_left_out() -> None:
    first = list(islice(titles(0), 3))
    assert list(islice(titles(0, {first[1].upper()}), 2)) == [first[0], first[2]]
    assert len(list(titles(12, {title(3)}))) == COUNT - 1


def test_titles_stand_in_a_file_name_and_a_header() -> None:
    for number in range(COUNT):
        assert set(title(number).lower()) <= set("abcdefghijklmnopqrstuvwxyz ,'")
    assert len({exercise.title.lower() for exercise in exercises()}) == len(exercises())
