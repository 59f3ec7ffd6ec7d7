"""All of a section at one microphone: what the long notes say of everybody together. No singer is told from another, so none is judged.

Whole cents. The take's spread is the middle of its notes' spreads; its centre their centres' mean, without notes that are far off.
Sections of choirs spread by 16 to 30 cents (Cuesta and others 2018); 15 and less we call close, more than 30 wide (our own).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from statistics import median

LONG_SECONDS = Fraction(2)
"""A spread needs that long a note: the ear and the measure both do."""

SPLIT_FROM_DB, ONE_OCTAVE_BELOW_DB = 4.5, 3.0
"""How far even harmonics stand over odd ones, in the middle of the pitches: simulated sections lie at 0 to 4 in one octave and at 5 to
10 in two; between the two limits nothing is said."""

PITCHES_NEEDED, ALIKE, ON_THEIR_NOTES = 3, (3, 4), (3, 4)
"""A formant alone does 20 dB to one pitch, whoever sings it: so many pitches are needed, and that share of them doubled. Where fewer of
the long notes are on their pitch, others than the written ones sounded in them (a line at another tempo), and nothing is said."""

SINKS_FROM_CENTS, SINKING_NOTES = 15, 4
"""Less than that is what singers drift anyway (Mauch, Frieler and Dixon 2014: 11 cents in 50 s)."""

VIBRATO_SHARE = 2
"""With vibrato in more than one note of so many, no spread is figured for the take."""


TOGETHER, RAGGED = "together", "ragged"
TOGETHER_SECONDS, RAGGED_SECONDS = 0.055, 0.1
"""Standard deviations of the entries as measured, below and above which it is said; a word for 40 ms and less, or for 120 and more, is
wrong in at most a twentieth of simulated takes (``tests/bench/crowd/entries.py``). Between the two nothing is said."""

ENTRIES_NEEDED = 6
"""The middle of fewer is wrong more often than that."""

FAR_OFF_CENTS = 50
"""A note that far from the middle of the others is another note, and says nothing of the centre."""


@dataclass(frozen=True, slots=True)
class CrowdNote:
    """One long note: where it stands, its middle in seconds, and what the crowd made of it.

    ``octave`` is the lowest in which anybody sang, against what is written; ``doubling_db`` how much an octave above is heard too.
    """

    bar: int
    beat: Fraction
    printed_bar: str
    expected: str
    at_s: float
    centre_cents: int
    spread_cents: int | None
    vibrato: bool
    octave: int
    doubling_db: float | None


@dataclass(frozen=True, slots=True)
class Entries:
    """How people come in after rests: on how many notes it was measured, and TOGETHER, RAGGED, or None where neither is sure."""

    measured: int
    word: str | None


NO_ENTRIES = Entries(0, None)


@dataclass(frozen=True, slots=True)
class CrowdTake:
    """A section at one microphone.

    Parameters
    ----------
    notes : tuple of CrowdNote
    long_notes : int
        How many notes were long enough to be looked at, heard or not.
    centre_cents, spread_cents : int or None
    octave : int or None
        The lowest octave sung in, against what is written.
    octave_split : bool or None
        Whether two octaves are sung; None where that is not clear.
    sinking_cents : int or None
        From the first long note to the last, where that is more than singers drift anyway.
    vibrato : bool
        So many notes have it that no spread is figured.
    entries : Entries
    """

    notes: tuple[CrowdNote, ...]
    long_notes: int
    centre_cents: int | None
    spread_cents: int | None
    octave: int | None
    octave_split: bool | None
    sinking_cents: int | None
    vibrato: bool
    entries: Entries


def crowd_take(notes: Sequence[CrowdNote], long_notes: int, entries: Entries = NO_ENTRIES) -> CrowdTake:
    """The take from its notes and entries."""
    if not notes:
        return CrowdTake((), long_notes, None, None, None, None, None, False, entries)
    spreads = [note.spread_cents for note in notes if note.spread_cents is not None]
    vibrato = VIBRATO_SHARE * sum(note.vibrato for note in notes) > len(notes)
    return CrowdTake(
        tuple(notes),
        long_notes,
        centre_of([note.centre_cents for note in notes]),
        None if vibrato or not spreads else round(median(spreads)),
        round(median(note.octave for note in notes)),
        _split(notes, long_notes),
        _sinking(notes),
        vibrato,
        entries,
    )


def entries_of(apart_seconds: Sequence[float]) -> Entries:
    """The word for how far people are apart in each entry of a take, standard deviations in seconds; the middle one counts."""
    count = len(apart_seconds)
    if count < ENTRIES_NEEDED:
        return Entries(count, None)
    middle = median(apart_seconds)
    return Entries(count, TOGETHER if middle < TOGETHER_SECONDS else RAGGED if middle > RAGGED_SECONDS else None)


def centre_of(centres_cents: Sequence[int]) -> int:
    """The mean of the notes' centres, at least one, without those that are far off."""
    middle = median(centres_cents)
    near = [cents for cents in centres_cents if abs(cents - middle) <= FAR_OFF_CENTS]
    return round(sum(near) / len(near)) if near else round(middle)


def _split(notes: Sequence[CrowdNote], long_notes: int) -> bool | None:
    """Whether two octaves are sung; None where that is not clear."""
    by_pitch: dict[str, list[float]] = {}
    for note in notes:
        if note.doubling_db is not None:
            by_pitch.setdefault(note.expected, []).append(note.doubling_db)
    doublings = [sum(some) / len(some) for some in by_pitch.values()]
    few = len(doublings) < PITCHES_NEEDED or len(notes) * ON_THEIR_NOTES[1] < long_notes * ON_THEIR_NOTES[0]
    if few:
        return None
    doubled = sum(doubling >= ONE_OCTAVE_BELOW_DB for doubling in doublings)
    if median(doublings) > SPLIT_FROM_DB and doubled * ALIKE[1] >= len(doublings) * ALIKE[0]:
        return True
    return False if median(doublings) < ONE_OCTAVE_BELOW_DB else None


def _sinking(notes: Sequence[CrowdNote]) -> int | None:
    """First note to last along the median of all slopes (Theil 1950, Sen 1968); positive rises."""
    if len(notes) < SINKING_NOTES:
        return None
    slopes = [
        (later.centre_cents - earlier.centre_cents) / (later.at_s - earlier.at_s)
        for place, earlier in enumerate(notes)
        for later in notes[place + 1 :]
    ]
    moved = round(median(slopes) * (notes[-1].at_s - notes[0].at_s))
    return moved if abs(moved) >= SINKS_FROM_CENTS else None
