"""An exercise graded for its singer: level, crux and compass, from the notes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from trainer.grading.crux import crux_words, cruxes
from trainer.grading.declare import Crux
from trainer.grading.ladder import level
from trainer.rules.piece import Piece
from trainer.score.model import Score, find_voice
from trainer.singable.part import Part
from trainer.singable.weigh import Weighed, weigh_part


@dataclass(frozen=True, slots=True)
class Grade:
    """How hard one line of a score is for its singer.

    Parameters
    ----------
    level : int
        On the ladder, 1 the easiest.
    crux : tuple of Crux
        Everything to mind, the weightiest first.
    weighed : Weighed
        Every note's points with their reasons.
    """

    level: int
    crux: tuple[Crux, ...]
    weighed: Weighed

    @property
    def words(self) -> str:
        """The crux in one line."""
        return crux_words(self.crux)

    @property
    def mean_points(self) -> Fraction:
        """Points a note."""
        return self.weighed.mean_points

    @property
    def compass(self) -> str:
        """Lowest and highest note, such as "D#3 C#4"."""
        return f"{self.weighed.lowest} {self.weighed.highest}"


def compass_of(score: Score, line_index: int) -> str:
    """Lowest and highest note of a line, such as "D#3 C#4"; "" without notes."""
    pitches = sorted((note.pitch for note in score.lines[line_index].notes), key=lambda pitch: pitch.midi)
    return f"{pitches[0]} {pitches[-1]}" if pitches else ""


def grade(score: Score, line_index: int) -> Grade:
    """The grade of one line of *score*, for the usual compass of its voice and the score's own tempo."""
    return grade_part(Part(Piece(score), line_index))


def grade_part(part: Part) -> Grade:
    """As :func:`grade`, for a part already made ready."""
    weighed = weigh_part(part)
    return Grade(level(part.piece, part.voice, weighed.mean_points), cruxes(part), weighed)


def graded(score: Score) -> Score:
    """The score saying its level, crux and compass, for the voice that its header ``sing`` names.

    Raises
    ------
    KeyError
        When it names none that there is.
    """
    return with_grade(score, grade(score, find_voice(score, score.fact("sing") or "none")))


def with_grade(score: Score, found: Grade) -> Score:
    """The score with a grade in its headers."""
    return with_facts(score, {"level": str(found.level), "crux": found.words, "compass": found.compass})


def with_facts(score: Score, said: Mapping[str, str]) -> Score:
    """The score with these facts in place of its own of those names, new ones at the end."""
    kept = tuple((name, said.get(name, value)) for name, value in score.facts)
    there = {name for name, _ in kept}
    return replace(score, facts=kept + tuple((name, value) for name, value in said.items() if name not in there))
