"""Exercises are chosen by what they are; wishes that nothing answers say which one stands in the way."""

from __future__ import annotations

from pathlib import Path

import pytest

from trainer.library import Exercise, exercises
from trainer.library.choosing import KINDS, chosen, compass, figures, filters, fits, too_much
from trainer.score.pitch import Pitch


def one(**changed: object) -> Exercise:
    usual: dict[str, object] = {
        "number": 1,
        "title": "Reed Bed",
        "parts": 3,
        "species": "2",
        "mode": "D dorian",
        "cantus": "bass",
        "sing": "alto",
        "level": 5,
        "crux": "one big leap: a sixth up in bar 5",
        "compass": "A3 F4",
        "path": Path("x"),
    }
    return Exercise(**(usual | changed))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("name", "answers", "does_not"),
    [
        ("species", "2", "3"),
        ("species", "1,2", "combined"),
        ("parts", "3", "4"),
        ("mode", "dorian", "phrygian"),
        ("mode", "Phrygian, Dorian", "major"),
        ("voice", "alto", "bass"),
        ("cantus", "bass", "alto"),
        ("level", "5", "6"),
        ("level", "4-6", "6-9"),
        ("crux", "big leap", "steps only"),
        ("crux", "Sixth  up", "down"),
        ("compass", "A3-F4", "A3-E4"),
        ("compass", "G4-G5", "B3-G4"),
        ("compass", "A2 to F3", "A2-E3"),
    ],
)
def test_each_wish_takes_what_answers_to_it(name: str, answers: str, does_not: str) -> None:
    assert chosen([one()], filters({name: answers})) == (one(),)
    assert chosen([one()], filters({name: does_not})) == ()


@pytest.mark.parametrize(
    ("name", "typed"),
    [
        ("species", "6"),
        ("species", ""),
        ("parts", "5"),
        ("mode", "locrain"),
        ("voice", "mezzo"),
        ("level", "0"),
        ("level", "13"),
        ("level", "6-4"),
        ("level", "-1"),
        ("crux", "  "),
        ("compass", "A3"),
        ("compass", "F4-A3"),
        ("compass", "H3-A4"),
        ("compass", "A3-A3"),
    ],
)
def test_what_cannot_be_wished_is_told_with_what_can(name: str, typed: str) -> None:
    with pytest.raises(ValueError, match=r".") as caught:
        filters({name: typed})
    assert len(caught.value.args) == 2


def test_every_wish_names_something_that_the_list_shows() -> None:
    assert set(KINDS) == {"species", "parts", "mode", "cantus", "voice", "level", "crux", "compass"}


def test_several_wishes_are_all_kept() -> None:
    listed = [one(), one(number=2, level=6), one(number=3, parts=4)]
    assert [found.number for found in chosen(listed, filters({"level": "5", "parts": "3"}))] == [1]


def test_the_wish_that_stands_in_the_way_is_named() -> None:
    listed = [one(), one(number=2, level=6), one(number=3, level=7)]
    assert too_much(listed, filters({"voice": "alto", "level": "9"})) == "without --level 9 there are 3"
    assert too_much(listed[:1], filters({"voice": "alto", "level": "9"})) == "without --level 9 there is 1"
    assert too_much(listed, filters({"voice": "bass", "level": "9"})) == "give up two of them"


def test_a_compass_is_a_singers_in_whichever_octave() -> None:
    low, high = compass("a3-d5")
    assert (str(low), str(high)) == ("A3", "D5")
    assert fits(one(compass="D#3 C#4"), low, high)  # an octave up: D#4 to C#5
    assert not fits(one(compass="D#3 G#4"), *compass("A3-C#5"))
    assert not fits(one(compass=""), low, high)
    assert fits(one(compass="E2 C4"), Pitch.parse("E4"), Pitch.parse("C6"))


def test_levels_are_typed_alone_or_as_a_range() -> None:
    assert list(figures("4")) == [4]
    assert list(figures("4 - 6")) == [4, 5, 6]


def test_the_list_reads_the_same_as_the_whole_file() -> None:
    from trainer.formats import read_path

    for exercise in exercises()[:20]:
        score = read_path(exercise.path)
        assert (exercise.title, exercise.parts) == (score.title, len(score.lines))
        said = dict(score.facts)
        assert (exercise.species, exercise.mode, exercise.cantus, exercise.sing, exercise.crux) == tuple(
            said[name] for name in ("species", "mode", "cantus", "sing", "crux")
        )
