"""Wishes are understood, contradictions named, and lines compared by how near they come."""

from __future__ import annotations

import pytest

from trainer.aim.spots import Spot, counted, often, read_spot
from trainer.aim.wishes import Aim, missed, nearness, octaves_away, read_aim
from trainer.compose.wish import WishError
from trainer.formats.drill import read
from trainer.grading.grade import Grade, grade
from trainer.rules.piece import Piece
from trainer.score.model import Score
from trainer.score.pitch import Pitch
from trainer.singable.part import Part


def alone(line: str) -> Score:
    return read(f"mode: C ionian\nalto | {line} |".encode(), "x.drill")


def weighed(line: str) -> tuple[Grade, Part]:
    return grade(alone(line), 0), Part(Piece(alone(line)), 0)


def test_wishes_stand_between_commas() -> None:
    aim = read_aim("Level 4-6, one big leap, compass a3-D5, sixths up x3, degree 7,  7-6  clashes")
    assert aim == Aim(
        range(4, 7),
        (("one big leap", "big-leap"),),
        (Pitch.parse("A3"), Pitch.parse("D5")),
        (
            Spot("sixths up x3", "interval", 5, 1, 3),
            Spot("degree 7", "degree", 7),
            Spot("7-6 clashes", "clash", "7-6"),
        ),
    )


@pytest.mark.parametrize(
    ("typed", "what", "do"),
    [
        ("big lep", "is not a wish", "big leap"),
        ("sixth", "is not a wish", "sixths"),
        ("", "without words", "as in"),
        ("level 5,,steps only", "without words", "as in"),
        ("level 13", "is not a level", "1 to 12"),
        ("level 0", "is not a level", "1 to 12"),
        ("level -3", "is not a level", "1 to 12"),
        ("level 6-4", "is not a level", "1 to 12"),
        ("level 3, level 4", "two wishes for the level", "keep one"),
        ("compass A3", "is not a compass", "A3-D5"),
        ("compass A3-D4", "too narrow", "sixth"),
        ("compass D5-A3", "too narrow", "sixth"),
        ("steps only, big leap", "'steps only' clashes with 'big leap'", "give up"),
        ("steps only, sixths up", "'steps only' clashes with 'sixths up'", "give up"),
        ("steps and thirds only, one big leap", "clashes with", "give up"),
        ("sevenths", "cannot be had", "sixths or octaves"),
        ("compass A3-F4, octaves", "has no room for 'octaves'", "wider"),
        ("degree 8", "is not a wish", "degree 7"),
        ("sixths x0", "is not a wish", "sixths"),
    ],
)
def test_what_cannot_be_wished_is_told_with_what_clashes(typed: str, what: str, do: str) -> None:
    with pytest.raises(WishError) as caught:
        read_aim(typed)
    assert what in caught.value.what
    assert do in caught.value.do


def test_steps_may_be_wished_beside_steps_only() -> None:
    assert read_aim("steps only, steps x2").spots[0].weight == 2


def test_a_line_keeps_or_misses_each_must() -> None:
    found, _ = weighed("C4 | A4 | G | F")
    aim = read_aim("one big leap, clash, compass C4-A4")
    assert missed(aim, found) == ("clash",)
    assert missed(read_aim(f"level {found.level}"), found) == ()
    assert missed(read_aim("level 12"), found) == ("level 12",)
    assert missed(read_aim("level 11-12, compass D4-B4"), found) == ("level 11-12", "compass D4-B4")


def test_one_big_leap_is_not_two() -> None:
    two, _ = weighed("C4 | A4 | G | B3 | C4")
    assert missed(read_aim("one big leap"), two) == ("one big leap",)
    assert missed(read_aim("big leaps"), two) == ()


def test_a_compass_may_be_met_octaves_away() -> None:
    found, _ = weighed("C4 | A4 | G | F")
    assert octaves_away(found.compass, (Pitch.parse("C3"), Pitch.parse("A3"))) == -1
    assert octaves_away(found.compass, (Pitch.parse("B2"), Pitch.parse("D4"))) == -1
    assert octaves_away(found.compass, (Pitch.parse("D3"), Pitch.parse("A4"))) == 0
    assert octaves_away(found.compass, (Pitch.parse("D3"), Pitch.parse("B3"))) is None


def test_weak_spots_are_counted_by_hand() -> None:
    _, part = weighed("C4 | A4 | G | E | B4 | B3")
    found = counted(part)
    worth = {
        typed: often(read_spot(typed), found) for typed in ("sixths up", "sixths", "thirds down", "octaves", "steps")
    }  # type: ignore[arg-type]
    assert worth == {"sixths up": 1, "sixths": 1, "thirds down": 1, "octaves": 1, "steps": 1}
    assert often(read_spot("degree 7"), found) == 2  # type: ignore[arg-type]
    assert often(read_spot("fifths up"), found) == 1  # type: ignore[arg-type]


def test_clashes_are_counted_by_their_figure() -> None:
    chain = read(b"mode: C ionian\nsoprano | . E5 | - D | - C | - B4 | C5 |\nbass | C4 | F4 | E | D | C |", "x.drill")
    found = counted(Part(Piece(chain), 0))
    assert [often(read_spot(typed), found) for typed in ("clashes", "7-6 clashes", "4-3 clashes x2")] == [3, 3, 0]  # type: ignore[arg-type]


def test_of_two_lines_the_one_with_more_weak_spots_is_nearer_and_musts_weigh_more() -> None:
    with_sixth, plain = weighed("C4 | A4 | G | F"), weighed("C4 | D | E | F")
    sixths = read_aim("sixths up")
    assert nearness(sixths, *with_sixth) > nearness(sixths, *plain)
    both = read_aim("sixths up, compass C4-A4")
    narrow = weighed("D4 | B4 | A | G")
    assert nearness(both, *with_sixth) > nearness(both, *narrow)
    far, near = read_aim("level 12"), read_aim(f"level {plain[0].level + 1}-12")
    assert nearness(near, *plain)[2] == -1
    assert nearness(far, *plain)[2] < -1
