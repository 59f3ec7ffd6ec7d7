"""The ladder goes from a cantus sung in two parts to combined species in four with sevenths, and a line's weight moves it."""

from __future__ import annotations

from fractions import Fraction

import pytest

from trainer.grading import HIGHEST_LEVEL, LOWEST_LEVEL
from trainer.grading.grade import grade, graded
from trainer.grading.ladder import USUAL_POINTS, Place, level, level_at, place, rung
from trainer.library import resolve
from trainer.rules.piece import Piece
from trainer.score.model import Score, find_voice

TAUGHT = [
    Place(2, "cantus", 0, False),
    Place(2, "1", 0, False),
    Place(2, "2", 1, False),
    Place(3, "1", 0, False),
    Place(2, "4", 1, False),
    Place(2, "3", 1, False),
    Place(3, "4", 1, True),
    Place(4, "1", 0, True),
    Place(4, "3", 1, True),
    Place(4, "5", 1, True),
    Place(4, "3", 3, True),
    Place(4, "3", 3, True, True),
]
"""The order of counterpoint teaching as singers meet it; Fux 1725 goes species by species and part by part."""


def test_the_rungs_follow_the_order_of_teaching() -> None:
    assert [rung(one) for one in TAUGHT] == list(range(LOWEST_LEVEL, HIGHEST_LEVEL + 1))


def test_a_line_of_usual_weight_goes_up_by_its_layout_alone() -> None:
    levels = [level_at(step) for step in range(LOWEST_LEVEL, HIGHEST_LEVEL + 1)]
    assert levels == sorted(levels)
    assert (levels[0], levels[-1]) == (2, 9)


@pytest.mark.parametrize("parts", [2, 3, 4])
def test_more_parts_are_never_lower(parts: int) -> None:
    for kind in ("cantus", "1", "2", "3", "4", "5", "free"):
        fewer, more = Place(parts - 1, kind, 1, False), Place(parts, kind, 1, False)
        assert rung(fewer) <= rung(more)


def test_moving_company_inner_voices_and_sevenths_each_go_up() -> None:
    quiet = Place(4, "1", 0, False)
    assert rung(Place(4, "1", 1, False)) > rung(quiet)
    assert rung(Place(4, "1", 3, False)) > rung(Place(4, "1", 1, False))
    assert rung(Place(4, "1", 0, True)) > rung(quiet)
    assert rung(Place(4, "1", 0, False, True)) > rung(quiet)


def test_a_heavier_line_stands_higher_and_the_ladder_has_ends() -> None:
    piece = Piece(resolve("Ferry Bell at Low Water"))
    home = level_at(rung(place(piece, 2)))
    assert level(piece, 2, USUAL_POINTS) == home
    assert level(piece, 2, USUAL_POINTS + Fraction(3, 10)) > home
    assert level(piece, 2, USUAL_POINTS - Fraction(3, 10)) < home
    assert level(piece, 2, Fraction(9)) == HIGHEST_LEVEL
    assert level(Piece(resolve("Two Oars at Rest")), 1, Fraction(0)) == LOWEST_LEVEL


def test_sevenths_are_seen_in_the_music() -> None:
    from trainer.formats.drill import read

    text = (
        "mode: C major\nspecies: 1\ncantus: bass\nsing: alto\n"
        "soprano | E5 | D5 | E5 |\nalto | C5 | {} | C5 |\ntenor | G4 | B3 | C4 |\nbass | C3 | G3 | C3 |"
    )
    assert place(Piece(read(text.format("F4").encode(), "x")), 1).sevenths
    assert not place(Piece(read(text.format("G4").encode(), "x")), 1).sevenths


def test_the_voice_to_sing_is_graded_and_says_so() -> None:
    score = graded(resolve("Kettle before Dawn"))
    found = grade(score, find_voice(score, "alto"))
    assert (score.fact("level"), score.fact("crux"), score.fact("compass")) == (
        str(found.level),
        found.words,
        "B3 G4",
    )
    assert isinstance(score, Score)
    assert graded(score) == score
    with pytest.raises(KeyError):
        graded(resolve("Kettle before Dawn").__class__("x", score.lines))
