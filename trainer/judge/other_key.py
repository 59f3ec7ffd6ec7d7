"""Was the right line sung in another key? One interval, in whole semitones, that makes nearly all of a take's notes right.

It is told beside the verdicts and changes none: measured against the voices that sound every note is wrong.
"""

from __future__ import annotations

from collections.abc import Sequence

from trainer.judge.phonation import median
from trainer.practice.signs import Sign
from trainer.practice.take import NoteVerdict
from trainer.score.pitch import Pitch

FEWEST = 6
MOST_OTHERS = 8  # one note of so many may be another
NEARLY_CENTS = 15
INTERVALS = (
    "", "a semitone", "a whole tone", "a minor third", "a major third", "a fourth", "a tritone",
    "a fifth", "a minor sixth", "a major sixth", "a minor seventh", "a major seventh",
)  # fmt: skip
OCTAVES = ("", "an octave", "two octaves", "three octaves")


def other_key(
    notes: Sequence[NoteVerdict], *, shift: int, taken_off_cents: int, tolerance_cents: int
) -> tuple[str, int] | None:
    """How far away the take was sung, as in "a major third lower", and how many notes are in tune there; None where it was not.

    Parameters
    ----------
    notes : sequence of NoteVerdict
        The written ones that were heard.
    shift : int
        Octaves of the whole take.
    taken_off_cents : int
        What the verdicts' cents are without.
    tolerance_cents : int
    """
    found = [(note, away) for note in notes if (away := _away(note, shift, taken_off_cents)) is not None]
    if len(found) < FEWEST:
        return None
    middle = median([away for _, away in found])
    semitones = (middle + 50) // 100
    fitting = sum(abs(away - middle) <= tolerance_cents + (note.uncertainty_cents or 0) for note, away in found)
    if semitones % 12 == 0 or fitting < FEWEST or (len(notes) - fitting) * MOST_OTHERS > len(notes):
        return None
    nearly = "about " if abs(middle - 100 * semitones) > NEARLY_CENTS else ""
    return nearly + _interval(semitones + 12 * shift), fitting


def _away(note: NoteVerdict, shift: int, taken_off_cents: int) -> int | None:
    """Cents from what is written, the take's octaves taken off; None where nobody can say."""
    if note.cents is not None and Sign.OCTAVE not in note.signs:
        return note.cents + taken_off_cents
    if note.sung is None or note.expected is None:
        return None
    return 100 * (Pitch.parse(note.sung).midi - Pitch.parse(note.expected).midi - 12 * shift)


def _interval(semitones: int) -> str:
    octaves, rest = divmod(abs(semitones), 12)
    words = [OCTAVES[octaves] if octaves < len(OCTAVES) else f"{octaves} octaves"] if octaves else []
    return f"{' and '.join([*words, INTERVALS[rest]])} {'higher' if semitones > 0 else 'lower'}"
