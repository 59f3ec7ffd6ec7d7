"""One ladder from a cantus sung in two parts to combined species in four with sevenths: the rung of a layout, then the line's own weight.

The order of the rungs is that in which counterpoint is taught (species after species, from two parts to four, combined species last:
the order of Fux 1725), seen from the singer: long notes beside moving voices stand by the number of voices, not by their species. How
far a line's points a note move it up or down is our own, fitted so that the mean rises with every level (``tests/bench/grading``).
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.grading import HIGHEST_LEVEL, LOWEST_LEVEL
from trainer.rules.piece import CANTUS, FREE, Piece

WHOLE_NOTES = {1: 1, 2: 2, 3: 4, 4: 7}
"""Rung of whole notes among whole notes, by the number of parts; a cantus stands one lower, an inner voice of four one higher."""

MOVING = {
    1: {"2": 2, "3": 3, "4": 3, "5": 4},
    2: {"2": 3, "3": 6, "4": 5, "5": 8},
    3: {"2": 6, "3": 7, "4": 7, "5": 9},
    4: {"2": 9, "3": 9, "4": 9, "5": 10},
}
"""Rung of a moving line, by the number of parts and its species."""

COMBINED = {3: 10, 4: 11}
FREE_LINES = {1: 2, 2: 4, 3: 7, 4: 9}
"""A line of no species, as in a chorale."""

USUAL_POINTS = Fraction(7, 10)
LEVELS_A_RUNG, LEVELS_A_POINT, FOOT = Fraction(13, 20), 8, 1
"""A rung up is two thirds of a level, a point a note eight levels: then the mean of points rises with every level, in the library and for
exercises as they come from the generator (221 of them on development seeds)."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where a line stands in a layout, before a note of it is known.

    Parameters
    ----------
    parts : int
    kind : str
        What the line is: "cantus", "1" to "5", or "free".
    movers : int
        How many voices are of the second to fifth species, this one included.
    inner : bool
        Whether voices lie on both sides.
    sevenths : bool
        Whether chords have sevenths.
    """

    parts: int
    kind: str
    movers: int
    inner: bool
    sevenths: bool = False


def place(piece: Piece, voice: int) -> Place:
    """Where a voice of a piece stands."""
    movers = sum(piece.is_moving(other) for other in range(piece.parts))
    return Place(piece.parts, piece.species[voice], movers, 0 < voice < piece.parts - 1, _has_sevenths(piece))


def rung(at: Place) -> int:
    """Where the layout alone puts a voice on the ladder."""
    parts = min(at.parts, 4)
    if at.kind == FREE:
        found = FREE_LINES[parts]
    elif at.kind in MOVING[parts]:
        found = COMBINED.get(parts, HIGHEST_LEVEL) if at.movers > 1 else MOVING[parts][at.kind]
    else:
        found = WHOLE_NOTES[parts] + (at.inner and parts == 4) + min(at.movers, 2) - (at.kind == CANTUS)
    return max(LOWEST_LEVEL, found + at.sevenths)


def level(piece: Piece, voice: int, mean_points: Fraction) -> int:
    """The level of a line: where its layout stands, moved by what its notes weigh."""
    return level_at(rung(place(piece, voice)), mean_points)


def level_at(step: int, mean_points: Fraction = USUAL_POINTS) -> int:
    """The level of a line on a rung; without its points, the usual one."""
    exact = FOOT + LEVELS_A_RUNG * step + LEVELS_A_POINT * (mean_points - USUAL_POINTS)
    return max(LOWEST_LEVEL, min(HIGHEST_LEVEL, int((exact + Fraction(1, 2)) // 1)))


def _has_sevenths(piece: Piece) -> bool:
    """Whether a chordal seventh is struck on an accent somewhere."""
    return piece.parts > 3 and any(
        one.vertical == "seventh"
        and one.suspension is None
        and one.tone.on == one.at
        and piece.texture.weight(one.at) == 3
        for one in piece.dissonances
    )
