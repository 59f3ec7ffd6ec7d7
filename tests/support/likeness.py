"""How like two lines to sing are: the share of (onset, degree) that they have in common.

The onset counts quarters from the first bar; the degree counts from the final of the mode with its sign, whatever the octave.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.score.model import Score, find_voice
from trainer.score.naming import Names, called

MOST_ALIKE = Fraction(7, 10)


@dataclass(frozen=True, slots=True)
class Sung:
    """A line to sing: what it is compared within, whether it is a cantus, and its notes as (onset, degree)."""

    species: str
    parts: int
    is_cantus: bool
    notes: frozenset[tuple[Fraction, str]]


def sung(score: Score, line: int) -> Sung:
    """One line of a score, made to be compared."""
    notes = frozenset(
        (note.onset_quarters, called(score, note.pitch, Names("degrees"))) for note in score.lines[line].notes
    )
    is_cantus = find_voice(score, score.fact("cantus")) == line
    return Sung(score.fact("species"), len(score.lines), is_cantus, notes)


def like(one: Sung, other: Sung) -> bool:
    """Whether two lines of one species and number of parts agree in more than they may; a cantus is like nothing."""
    if one.is_cantus or other.is_cantus or (one.species, one.parts) != (other.species, other.parts):
        return False
    return agree(one, other) > MOST_ALIKE


def agree(one: Sung, other: Sung) -> Fraction:
    """The share of the shorter line's notes that the other has at the same place."""
    return Fraction(len(one.notes & other.notes), min(len(one.notes), len(other.notes)))
