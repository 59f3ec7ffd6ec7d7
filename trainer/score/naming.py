"""How notes are called: by degree, by sol-fa, by letter.

Degrees count from the final of the mode, or where a file names none from the tonic of its signature taken as major. A note that the
mode alters is written with its sign. Sol-fa is movable: do is the tonic of the signature's major scale, so that the final of a minor
piece is la (common practice, no source). Raised syllables take i, lowered ones e or a, as in the tonic sol-fa tradition (Curwen 1858,
from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

from trainer.score.model import Score
from trainer.score.modes import MODE_FIFTHS, signature_fifths, split_mode
from trainer.score.pitch import STEPS, Pitch, line_of_fifths

KINDS = ("degrees", "sol-fa", "letters")
SYLLABLES = ("do", "re", "mi", "fa", "so", "la", "ti")
RAISED = {"do": "di", "re": "ri", "fa": "fi", "so": "si", "la": "li"}
LOWERED = {"re": "ra", "mi": "me", "so": "se", "la": "le", "ti": "te"}


@dataclass(frozen=True, slots=True)
class Names:
    """How notes are called: one of ``KINDS``."""

    kind: str = "degrees"

    def __post_init__(self) -> None:
        """Refuse a word that nobody knows."""
        if self.kind not in KINDS:
            raise ValueError(f"{self.kind!r} is not one of {', '.join(KINDS)}")

    @property
    def row(self) -> str:
        """What stands before a row of them."""
        return {"degrees": "degree", "sol-fa": "sol-fa", "letters": "note"}[self.kind]


def called(score: Score, pitch: Pitch, names: Names) -> str:
    """A pitch by its degree, syllable or letter."""
    if names.kind == "letters":
        return str(pitch)
    tonic, fifths = _tonic(score) if names.kind == "degrees" else _do(score)
    number = (STEPS.index(pitch.step) - STEPS.index(tonic.step)) % 7
    altered = _altered(pitch, fifths)
    if names.kind == "degrees":
        return f"{'#' * altered if altered > 0 else 'b' * -altered}{number + 1}"
    syllable = SYLLABLES[number]
    if altered == 1:
        return RAISED.get(syllable, f"{syllable}#")
    if altered == -1:
        return LOWERED.get(syllable, f"{syllable}b")
    return f"{'#' * altered if altered > 0 else 'b' * -altered}{syllable}"


def counted_from(score: Score, names: Names) -> str:
    """Which letter the first degree or syllable is, as in "1 is B"; "" for letters."""
    if names.kind == "letters":
        return ""
    tonic, _ = _tonic(score) if names.kind == "degrees" else _do(score)
    return f"{'1' if names.kind == 'degrees' else 'do'} is {tonic.step}{tonic.accidental}"


def degree_number(score: Score, midi: int) -> int:
    """Degree, 1 to 7, of a MIDI number as the score spells it, or as its mode has it; 0 for a pitch that neither knows."""
    tonic, fifths = _tonic(score)
    pitches = {note.pitch.midi % 12: note.pitch for line in score.lines for note in line.notes}
    for step in STEPS:
        natural = line_of_fifths(Pitch(step, 0, 4))
        pitch = Pitch(step, max(-2, min(2, (fifths + 5 - natural) // 7)), 4)
        pitches.setdefault(pitch.midi % 12, pitch)
    found = pitches.get(midi % 12)
    return 0 if found is None else (STEPS.index(found.step) - STEPS.index(tonic.step)) % 7 + 1


def _signature(score: Score) -> tuple[int, str]:
    """Fifths and mode in force at the start."""
    try:
        final, mode = split_mode(score.fact("mode"))
    except ValueError:
        if not score.keys:
            return 0, "major"
        key = score.keys[0][1]
        return key.fifths, key.mode or "major"
    return signature_fifths(final, mode), mode


def _tonic(score: Score) -> tuple[Pitch, int]:
    fifths, mode = _signature(score)
    return _at_fifths(fifths - MODE_FIFTHS.get(mode, 0)), fifths


def _do(score: Score) -> tuple[Pitch, int]:
    fifths, _ = _signature(score)
    return _at_fifths(fifths), fifths


def _at_fifths(place: int) -> Pitch:
    alter, letter = divmod(place + 1, 7)
    return Pitch("FCGDAEB"[letter], max(-2, min(2, alter)), 4)


def _altered(pitch: Pitch, fifths: int) -> int:
    """Semitones by which a pitch stands off its letter in a signature of *fifths*."""
    natural = line_of_fifths(Pitch(pitch.step, 0, 4))
    signed = (fifths + 5 - natural) // 7
    return pitch.alter - signed
