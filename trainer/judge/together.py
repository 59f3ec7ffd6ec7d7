"""Singers of one performance against each other: what the score cannot say, since all of them may drift and hurry together.

Where notes of several lines sound at once each is set against the middle of the others. Only right notes with a figure count, and
only instants at which two others have one too, so that of two who differ neither is blamed; with two lines the difference is theirs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from statistics import median

from trainer.practice.signs import Sign
from trainer.practice.take import NoteVerdict, Performance, Take

RIGHT = frozenset({Sign.HELD, Sign.SHARP, Sign.FLAT, Sign.LATE, Sign.EARLY, Sign.LEFT_EARLY, Sign.BREATH})
LEAST_CHORDS = 3
"""Fewer say nothing of a whole piece."""

SETTLED_SECONDS = 0.15
"""After the last of them has begun: a sung pitch moves for 120 ms first (Dai and Dixon 2019)."""


@dataclass(frozen=True, slots=True)
class Chord:
    """One instant at which several lines sound: who stands how many cents from the middle of the others."""

    bar: int
    beat: Fraction
    printed_bar: str
    cents: tuple[tuple[str, int], ...]

    @property
    def widest(self) -> tuple[str, int]:
        """Who stands farthest from the others; the upper voice of two that do."""
        return max(self.cents, key=lambda one: abs(one[1]))


@dataclass(frozen=True, slots=True)
class Together:
    """How several lines stood to each other.

    Parameters
    ----------
    chords : tuple of Chord
        In time order.
    cents, onset_ms : tuple of (str, int or None)
        A voice's middle against the others over all chords, and of its entries against theirs; None where too little was heard.
    moved_cents : int or None
        How far all of them rose or, negative, sank together; None where nobody could say.
    """

    chords: tuple[Chord, ...]
    cents: tuple[tuple[str, int | None], ...]
    onset_ms: tuple[tuple[str, int | None], ...]
    moved_cents: int | None


def side_by_side(performance: Performance) -> bool:
    """Whether several voices were sung in it."""
    takes = performance.takes
    return len({take.voice_number for take in takes}) == len(takes) > 1 and all(take.source == "sung" for take in takes)


def together(performance: Performance) -> Together:
    """Every line of a performance against the others."""
    takes = performance.takes
    chords = tuple(_chords(takes))
    drifts = [take.drift_cents for take in takes if take.drift_cents is not None]
    return Together(
        chords,
        tuple(
            (take.voice, _middle([c for chord in chords for v, c in chord.cents if v == take.voice])) for take in takes
        ),
        tuple((take.voice, _middle(_entries(take, takes))) for take in takes),
        round(median(drifts)) if 2 * len(drifts) > len(takes) and len(drifts) > 1 else None,
    )


def _chords(takes: Sequence[Take]) -> list[Chord]:
    """Every place at which a note begins, with whoever sounds there and has a figure."""
    lines = [[note for note in take.notes if note.expected is not None] for take in takes]
    begun: dict[tuple[int, Fraction], list[NoteVerdict]] = {}
    for line in lines:
        for note in line:
            begun.setdefault((note.bar, note.beat), []).append(note)
    found = []
    for (bar, beat), notes in sorted(begun.items()):
        starts = [note.start_s for note in notes if note.start_s is not None]
        if not starts:
            continue
        at_s = max(starts) + SETTLED_SECONDS
        here = {
            take.voice: cents for take, line in zip(takes, lines, strict=True) if (cents := _at(line, at_s)) is not None
        }
        if len(here) >= min(3, len(takes)):
            against = tuple((v, round(c - median([o for w, o in here.items() if w != v]))) for v, c in here.items())
            found.append(Chord(bar, beat, notes[0].printed_bar, against))
    return found


def _at(line: Sequence[NoteVerdict], at_s: float) -> int | None:
    """Cents of the note that is heard at that second; None where none is, where it is wrong, or where there is no figure."""
    for note in line:
        if note.start_s is not None and note.end_s is not None and note.start_s <= at_s < note.end_s:
            return note.cents if note.sign in RIGHT else None
    return None


def _entries(take: Take, takes: Sequence[Take]) -> list[int]:
    """How much later than the middle of the others the voice came in where others come in with it."""
    others: dict[tuple[int, Fraction], list[int]] = {}
    for other in takes:
        if other is not take:
            for place, error_ms in _onsets(other):
                others.setdefault(place, []).append(error_ms)
    return [error_ms - round(median(others[place])) for place, error_ms in _onsets(take) if place in others]


def _onsets(take: Take) -> list[tuple[tuple[int, Fraction], int]]:
    return [
        ((note.bar, note.beat), note.onset_error_ms)
        for note in take.notes
        if note.onset_error_ms is not None and note.sign in RIGHT
    ]


def _middle(values: Sequence[int]) -> int | None:
    return round(median(values)) if len(values) >= LEAST_CHORDS else None
