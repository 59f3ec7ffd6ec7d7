"""What company costs: the notes that are held alone and not against the others, and to whom they go."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from trainer.practice.signs import COUNTED_AS_HELD, Sign
from trainer.practice.take import NoteVerdict, Take

Place = tuple[int, Fraction]


@dataclass(frozen=True, slots=True)
class Cost:
    """Alone against in company.

    Parameters
    ----------
    notes : int
        Notes that were told in both.
    alone : int
        Of these, held alone.
    lost : int
        Held alone, not held in company.
    pulled_to : tuple of (str, int)
        Whose notes the lost ones were, the most frequent first.
    """

    notes: int
    alone: int
    lost: int
    pulled_to: tuple[tuple[str, int], ...] = ()

    @property
    def knows_the_notes(self) -> bool:
        """Whether nine of ten are held alone."""
        return self.notes > 0 and self.alone * 10 >= self.notes * 9


def cost(alone: Take, company: Take) -> Cost:
    """Both takes of one line compared, note by note."""
    mine, theirs = _told(alone), _told(company)
    both = [place for place in mine if place in theirs]
    held = [place for place in both if mine[place].sign in COUNTED_AS_HELD]
    lost = [theirs[place] for place in held if theirs[place].sign not in COUNTED_AS_HELD]
    pulled = Counter(note.pulled_to for note in lost if note.sign is Sign.PULLED and note.pulled_to)
    return Cost(len(both), len(held), len(lost), tuple(pulled.most_common()))


def typical_cost(alone: Sequence[Take], company: Sequence[Take]) -> Cost | None:
    """The latest take alone beside the latest in company; None where either is missing."""
    return cost(alone[-1], company[-1]) if alone and company else None


def cost_words(found: Cost) -> str:
    """As in "you know the notes; company costs you 3 of 11 notes, 2 of them to the soprano"."""
    if not found.notes:
        return ""
    if not found.lost:
        return (
            "alone and in company the same notes are held"
            if found.alone
            else "the notes are not known yet, alone either"
        )
    know = "you know the notes" if found.knows_the_notes else f"alone you hold {found.alone} of {found.notes} notes"
    told = [
        f"{'all' if count == found.lost else count} {'of them ' if count < found.lost else ''}to the {voice}"
        for voice, count in found.pulled_to
    ]
    to = f", {' and '.join(told)}" if told else ""
    return f"{know}; company costs you {found.lost} of {found.notes}{to}"


def _told(take: Take) -> dict[Place, NoteVerdict]:
    return {
        (note.bar, note.beat): note for note in take.notes if note.expected is not None and note.sign is not Sign.UNSURE
    }
