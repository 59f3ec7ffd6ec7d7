"""A line weighed: every note's points with their reasons, the mean, and a grade in one word."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.rules.piece import FREE, Piece
from trainer.rules.texture import Tone
from trainer.score.model import Score
from trainer.score.time import Place, TempoMap
from trainer.singable.compass import Compass
from trainer.singable.counted import line_bits
from trainer.singable.part import Part
from trainer.singable.registry import all_kinds
from trainer.singable.weights import PAPER, Weights

EASY, MEDIUM, HARD = "easy", "medium", "hard"
EASY_BELOW, HARD_FROM = Fraction(3, 5), Fraction(1)
"""Mean points a note: see DEVELOPERS.md for how chorale lines spread over the three."""


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a note is harder (points above 0) or easier. ``says`` is "" for what weighs but is not worth a remark."""

    kind: str
    points: Fraction
    says: str
    advice: str


@dataclass(frozen=True, slots=True)
class WeighedNote:
    """One note of the line with its place, its pitch's name and its reasons, the weightiest first."""

    index: int
    place: Place
    onset_quarters: Fraction
    name: str
    reasons: tuple[Reason, ...]

    @property
    def points(self) -> Fraction:
        """The sum of its reasons, at least 0."""
        return max(Fraction(0), sum((reason.points for reason in self.reasons), Fraction(0)))


@dataclass(frozen=True, slots=True)
class Weighed:
    """A line weighed.

    Parameters
    ----------
    voice : str
    voice_number : int
        From the top, from 1.
    compass : Compass
        Whose it was weighed for.
    notes : tuple of WeighedNote
    lowest, highest : str
        Names of its outermost notes, "" without notes.
    mean_points : Fraction
        Points a note.
    mean_bits : Fraction
        How unexpected its intervals are, on average (see ``counted``).
    grade : str
        "easy", "medium" or "hard".
    """

    voice: str
    voice_number: int
    compass: Compass
    notes: tuple[WeighedNote, ...]
    lowest: str
    highest: str
    mean_points: Fraction
    mean_bits: Fraction
    grade: str

    def worst(self, most: int = 3) -> tuple[WeighedNote, ...]:
        """The hardest notes that have something to be told, the hardest first."""
        told = [note for note in self.notes if note.points > 0 and any(reason.says for reason in note.reasons)]
        return tuple(sorted(told, key=lambda note: (-note.points, note.index))[:most])


def weigh(
    score: Score,
    line_index: int,
    *,
    compass: Compass | None = None,
    tempo: TempoMap | None = None,
    weights: Weights = PAPER,
) -> Weighed:
    """One line of *score* weighed.

    Parameters
    ----------
    line_index : int
        From 0, top line first. Raises IndexError when there is none.
    compass : Compass or None
        The singer's; the usual one of the voice when None.
    tempo : TempoMap or None
        What it is sung at; the score's own when None.
    weights : Weights
        By what each kind's points are multiplied; those of paper when not given.
    """
    return weigh_part(Part(Piece(score, FREE), line_index, compass=compass, tempo=tempo), weights)


def weigh_part(part: Part, weights: Weights = PAPER) -> Weighed:
    """As :func:`weigh`, for a part already made ready: several lines of one piece share its texture."""
    reasons: dict[Tone, list[Reason]] = {tone: [] for tone in part.line}
    times = dict(weights.difficulties)
    for kind in all_kinds().values():
        for found in kind.find(part):
            points = found.points * times.get(kind.id, 1)
            reasons[found.tone].append(Reason(kind.id, points, found.says, found.advice or kind.advice))
    ticks = part.texture.ticks
    notes = tuple(
        WeighedNote(
            tone.place,
            part.texture.place(tone.on),
            Fraction(tone.on, ticks),
            tone.name,
            tuple(sorted(mine, key=lambda reason: (-reason.points, reason.kind, reason.says))),
        )
        for tone, mine in reasons.items()
    )
    mean = sum((note.points for note in notes), Fraction(0)) / len(notes) if notes else Fraction(0)
    by_height = sorted(part.line, key=lambda tone: tone.midi)
    return Weighed(
        part.name(part.voice),
        part.voice + 1,
        part.compass,
        notes,
        by_height[0].name if by_height else "",
        by_height[-1].name if by_height else "",
        mean,
        line_bits(part),
        grade_of(mean),
    )


def grade_of(mean_points: Fraction) -> str:
    """The grade of a line by its mean points."""
    return EASY if mean_points < EASY_BELOW else HARD if mean_points > HARD_FROM else MEDIUM
