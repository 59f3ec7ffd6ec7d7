"""Sizes of intervals between tones, by letters and semitones both: never by semitones alone.

Conventions: a *size* is (letters, semitones) from the lower to the higher tone, letters 0 for a unison, 2 for a third. *Simple* is
the size within an octave: octave and unison are both (0, 0). A melodic *step* is signed, up positive.
"""

from __future__ import annotations

from trainer.rules.texture import Tone

UNISON, MINOR_SECOND, MAJOR_SECOND, MINOR_THIRD, MAJOR_THIRD = (0, 0), (1, 1), (1, 2), (2, 3), (2, 4)
FOURTH, TRITONE, DIMINISHED_FIFTH, FIFTH = (3, 5), (3, 6), (4, 6), (4, 7)
DIMINISHED_FOURTH, AUGMENTED_FIFTH = (3, 4), (4, 8)
MINOR_SIXTH, MAJOR_SIXTH, MINOR_SEVENTH, MAJOR_SEVENTH, OCTAVE = (5, 8), (5, 9), (6, 10), (6, 11), (7, 12)

CONSONANT_WITH_BASS = frozenset({UNISON, MINOR_THIRD, MAJOR_THIRD, FIFTH, MINOR_SIXTH, MAJOR_SIXTH})
CONSONANT_ABOVE = CONSONANT_WITH_BASS | {FOURTH, TRITONE, DIMINISHED_FIFTH}
"""Between two voices over a third: the fourth and the tritone are borne by the bass (Fux 1725; Rockstro 1883)."""

_MAJOR = (0, 2, 4, 5, 7, 9, 11)
_QUALITIES = {
    True: {0: "P", 1: "A", -1: "d", 2: "AA", -2: "dd"},
    False: {0: "M", -1: "m", 1: "A", -2: "d", 2: "AA", -3: "dd"},
}

_BY_THEMSELVES = {"P1": "a unison", "A1": "a chromatic semitone", "P8": "an octave", "P15": "two octaves"}
_QUALITY_WORDS = {"P": "a perfect", "m": "a minor", "M": "a major", "A": "an augmented", "d": "a diminished"}
_NUMBER_WORDS = (
    "second", "third", "fourth", "fifth", "sixth", "seventh", "octave", "ninth", "tenth", "eleventh", "twelfth", "thirteenth",
    "fourteenth", "fifteenth", "sixteenth", "seventeenth",
)  # fmt: skip


def size(one: Tone, other: Tone) -> tuple[int, int]:
    """Letters and semitones from the lower written tone to the higher."""
    letters, semitones = other.dia - one.dia, other.midi - one.midi
    return (-letters, -semitones) if letters < 0 or (letters == 0 and semitones < 0) else (letters, semitones)


def simple(one: Tone, other: Tone) -> tuple[int, int]:
    """The size within an octave: a twelfth is (4, 7), an octave (0, 0)."""
    letters, semitones = size(one, other)
    octaves = letters // 7
    return letters - 7 * octaves, semitones - 12 * octaves


def perfect(one: Tone, other: Tone) -> int:
    """5 for a fifth or twelfth, 8 for an octave or fifteenth, 1 for a unison, 0 for anything else."""
    found = simple(one, other)
    if found == FIFTH:
        return 5
    if found == UNISON:
        return 1 if one.midi == other.midi else 8
    return 0


def perfect_class(one: Tone, other: Tone) -> int:
    """As :func:`perfect`, a unison being an 8 too."""
    return perfect(one, other) and (5 if perfect(one, other) == 5 else 8)


def step(before: Tone, after: Tone) -> int:
    """Letters moved, up positive: 1 is a second up, 0 stays on the letter."""
    return after.dia - before.dia


def named(letters: int, semitones: int) -> str:
    """The trade's short name of a size: m6, P5, A4, P15."""
    octaves, within = divmod(letters, 7)
    off = semitones - 12 * octaves - _MAJOR[within]
    return f"{_QUALITIES[within in (0, 3, 4)].get(off, '?')}{letters + 1}"


def name(one: Tone, other: Tone) -> str:
    """The short name of the interval between two tones."""
    return named(*size(one, other))


def interval_words(called: str) -> str:
    """A short name in words, with its article, such as "a minor sixth"; the short name itself where it has no usual words.

    For sentences about notes: beside F3 and B3 an "A4" would be read as one more note.
    """
    quality, number = called.rstrip("0123456789"), int(called.lstrip("PmMAd?"))
    if called in _BY_THEMSELVES:
        return _BY_THEMSELVES[called]
    if quality not in _QUALITY_WORDS or not 2 <= number <= len(_NUMBER_WORDS) + 1:
        return f"an interval of {called}"
    return f"{_QUALITY_WORDS[quality]} {_NUMBER_WORDS[number - 2]}"
