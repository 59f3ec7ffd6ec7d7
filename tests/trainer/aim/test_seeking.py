"""Exercises composed for an aim: musts kept, weak spots met more often, contradictions named before anything is composed."""

from __future__ import annotations

import re
import time
from dataclasses import replace

import pytest

from trainer.aim import seeking
from trainer.aim.seeking import REACH, every_layout, fresh, seek, usual_rung
from trainer.aim.spots import counted, often
from trainer.aim.wishes import missed, read_aim
from trainer.compose import Wish, WishError, compose
from trainer.formats.drill import write
from trainer.grading.grade import grade
from trainer.grading.ladder import place, rung
from trainer.rules.checking import check
from trainer.rules.piece import Piece
from trainer.rules.ruleset import shipped
from trainer.score.model import find_voice
from trainer.singable.part import Part

TWO = Wish(2, "1", "bass", "soprano", seed=3)


@pytest.mark.parametrize(
    ("typed", "wish"),
    [
        ("steps and thirds only", TWO),
        ("one big leap", replace(TWO, species="2")),
        ("clash, compass A4-F5", replace(TWO, species="4")),
        ("shared note", Wish(3, "3", "bass", "alto")),
        ("level 9-11", Wish(4, "1", "bass", "tenor", mode="phrygian")),
    ],
)
def test_every_must_is_kept_and_the_exercise_is_correct(typed: str, wish: Wish) -> None:
    aim = read_aim(typed)
    found = seek(aim, wish)
    line = find_voice(found.score, wish.sung)
    assert missed(aim, grade(found.score, line)) == ()
    assert check(found.score, shipped(wish.rules)).correct  # type: ignore[arg-type]
    assert found.score.fact("level") == str(found.grade.level)
    assert found.score.fact("crux") == found.grade.words


def test_weak_spots_come_more_often_than_unasked(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(seeking, "CANDIDATES", {2: 6})
    wish = Wish(2, "3", "bass", "soprano", seed=5)
    aim = read_aim("fourths x3, degree 7")

    def worth(score: object, voice: str = "soprano") -> int:
        found = counted(Part(Piece(score), find_voice(score, voice)))  # type: ignore[arg-type]
        return sum(spot.weight * often(spot, found) for spot in aim.spots)

    asked = worth(seek(aim, wish).score)
    unasked = [worth(compose(replace(wish, seed=seed)).score) for seed in range(3)]
    assert asked > max(unasked)


@pytest.mark.parametrize(
    ("typed", "wish", "what", "do"),
    [
        ("level 12", TWO, "level 12 clashes with the soprano of 2 parts in species 1", "levels 1 to 6"),
        ("clash", TWO, "'clash' clashes with the soprano, which is of species 1", "species 4 or of species 5"),
        ("7-6 clashes", replace(TWO, species="3"), "clashes with the soprano, which is of species 3", "species 4"),
        ("entry after a rest", TWO, "'entry after a rest' clashes", "species 2"),
        ("long notes", replace(TWO, species="2"), "'long notes' clashes", "the cantus or of species 1"),
        ("cantus", replace(TWO, species="2"), "'cantus' clashes", "the cantus"),
        (
            "seventh of the chord",
            Wish(4, "1", "bass", "alto", rules="tonal", mode="minor"),
            "without sevenths",
            "--sev",
        ),
    ],
)
def test_an_aim_that_clashes_with_the_layout_is_told_at_once(typed: str, wish: Wish, what: str, do: str) -> None:
    began = time.process_time()
    with pytest.raises(WishError) as caught:
        seek(read_aim(typed), wish)
    assert what in caught.value.what
    assert do in caught.value.do
    assert time.process_time() - began < 1


def test_a_layout_that_cannot_be_is_refused_before_the_aim() -> None:
    with pytest.raises(WishError, match="5 parts"):
        seek(read_aim("level 4"), Wish(5, "1", "bass", "soprano"))


def test_musts_that_no_candidate_keeps_are_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(seeking, "CANDIDATES", {2: 4})
    with pytest.raises(WishError) as caught:
        seek(read_aim("repeated notes, odd leap"), TWO)
    assert "'odd leap'" in caught.value.what
    assert "give up" in caught.value.do


# few candidates, and seeds that are quickly answered: the suite has ten minutes for everything
@pytest.mark.parametrize(("first", "last"), [(1, 2), (4, 6), (9, 12)])
def test_fresh_music_has_the_level_that_is_asked_for(first: int, last: int) -> None:
    found = fresh(range(first, last + 1), voices=("soprano", "alto", "bass"), seed=2)
    assert first <= int(found.score.fact("level")) <= last
    assert check(found.score, shipped(found.score.fact("rules"))).correct


def test_a_seed_makes_the_same_fresh_music_and_another_makes_other() -> None:
    one, again, other = (fresh(range(2, 6), voices=("alto",), seed=seed).score for seed in (1, 1, 3))
    assert write(one) == write(again)
    assert one.digest() != other.digest()
    assert one.fact("sing") == "alto"


def test_a_level_that_a_voice_cannot_have_is_told_with_those_that_it_can() -> None:
    with pytest.raises(WishError, match="level 1 clashes with the voice tenor") as caught:
        fresh(range(1, 2), voices=("tenor",), seed=1)
    assert "to 12" in caught.value.do


def test_the_rung_foretold_is_the_rung_found() -> None:
    for number, wish in enumerate(every_layout()):
        if number % 90 == 0 and wish.species != "combined":
            wish = replace(wish, mode="major" if wish.rules == "tonal" else "dorian", seed=number)
            score = compose(wish).score
            assert rung(place(Piece(score), find_voice(score, wish.sung))) == usual_rung(wish)
    assert REACH > 0


def test_where_no_exercise_keeps_all_musts_the_nearest_is_told_with_what_it_lacks(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(seeking, "CANDIDATES", {2: 2})
    with pytest.raises(WishError) as told:
        seek(read_aim("crossing, compass C4-G5"), TWO)
    assert told.value.what == "none of 2 exercises of this kind kept 'crossing' beside all else"
    offered = re.match(
        r"without 'crossing' there is one of level (\d+), (\S+) to (\S+) \((.+)\): give up 'crossing'", told.value.do
    )
    assert offered
    level, low, high, crux = offered.groups()
    had = seek(read_aim("compass C4-G5"), TWO).grade
    assert (str(had.level), had.compass, had.words) == (level, f"{low} {high}", crux)
