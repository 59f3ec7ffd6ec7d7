"""How notes are called: by degree, by sol-fa, by letter.

Degrees count from the final of the mode, or where a file names none from the tonic of its signature taken as major. A note that the
mode alters is written with its sign. Sol-fa is movable: do is the tonic of the signature's major scale, so that the final of a minor
piece is la (common practice, no source); under ``do-minor`` do is the final whatever the mode. Raised syllables take i, lowered ones e or
a, as in the tonic sol-fa tradition (Curwen 1858, from memory). Under ``fixed-do`` C is do whatever the key, with so and ti as sol and si
(common practice of the Romance languages, no source). German letters call B natural H and B flat B, with octaves after Helmholtz 1863
(from memory): C2 is C, C3 c, C4 c'.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from trainer.score.model import Score
from trainer.score.modes import MODE_FIFTHS, signature_fifths, split_mode
from trainer.score.pitch import STEPS, Pitch, line_of_fifths

KINDS = ("degrees", "sol-fa", "do-minor", "fixed-do", "letters", "german")
SYLLABLES = ("do", "re", "mi", "fa", "so", "la", "ti")
FIXED = ("do", "re", "mi", "fa", "sol", "la", "si")
RAISED = {"do": "di", "re": "ri", "fa": "fi", "so": "si", "la": "li"}
LOWERED = {"re": "ra", "mi": "me", "so": "se", "la": "le", "ti": "te"}
WITH_OCTAVES = frozenset({"letters", "german"})
"""Names that say which octave a note is in."""


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
        return {"degrees": "degree", "letters": "note", "german": "note"}.get(self.kind, "sol-fa")


LETTERS = Names("letters")
_SAID = re.compile(
    r"(?<!interval of )(?<!\bthe )\b([A-G](?:##|#|bb|b)?)(-?\d\b)"
    r"|(?:(?<='s )|(?<=\bon )|(?<=\bto )|(?<=\bof ))[A-G](?:##|#|bb|b)?(?![\w#])"
)
"""A pitch of a sentence, or a letter: another voice's, or a final; what stands behind "the" is a voice, which may be called A2."""


def called(score: Score, pitch: Pitch, names: Names) -> str:
    """A pitch by its degree, syllable or letter."""
    if names.kind in WITH_OCTAVES:
        return lettered(pitch, names)
    if names.kind == "fixed-do":
        return f"{FIXED[STEPS.index(pitch.step)]}{pitch.accidental}"
    tonic, fifths = _counted(score, names)
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


def lettered(pitch: Pitch, names: Names) -> str:
    """A pitch by its letter and octave, in German where *names* are."""
    return _german(pitch) if names.kind == "german" else str(pitch)


def sentence(says: str, names: Names) -> str:
    """A sentence with its pitches as :func:`lettered`, letters without an octave, as in "the alto's B", as :func:`letter` has them."""
    return _SAID.sub(lambda said: lettered(Pitch.parse(said[0]), names) if said[2] else letter(said[0], names), says)


def letter(name: str, names: Names) -> str:
    """A letter without its octave, of a chord or a key, as in "F#": Fis in German letters, fa# under ``fixed-do``, else as it is.

    What counts from the tonic has no words for it. Raises ValueError for what is no letter.
    """
    pitch = Pitch.parse(f"{name}2")
    if names.kind == "german":
        return _german(pitch)
    return f"{FIXED[STEPS.index(pitch.step)]}{pitch.accidental}" if names.kind == "fixed-do" else name


def counted_from(score: Score, names: Names) -> str:
    """Which letter the first degree or syllable is, as in "1 is B"; "" where that is nothing new."""
    if names.kind in WITH_OCTAVES or names.kind == "fixed-do":
        return ""
    tonic, _ = _counted(score, names)
    return f"{'1' if names.kind == 'degrees' else 'do'} is {tonic.step}{tonic.accidental}"


def _german(pitch: Pitch) -> str:
    step = "H" if pitch.step == "B" and pitch.alter != -1 else pitch.step
    if pitch.alter > 0:
        name = step + "is" * pitch.alter
    elif pitch.alter < 0 and pitch.step != "B":
        name = step + ("s" if step in "AE" else "es") + "es" * (-pitch.alter - 1)
    else:
        name = f"{step}eses" if pitch.alter == -2 else step
    if pitch.octave >= 3:
        return name.lower() + "'" * (pitch.octave - 3)
    return name + "," * (2 - pitch.octave)


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


def _counted(score: Score, names: Names) -> tuple[Pitch, int]:
    """What degree 1 or do is, and the signature by which the others are natural."""
    tonic, fifths = _tonic(score)
    if names.kind == "degrees":
        return tonic, fifths
    return (tonic, line_of_fifths(tonic)) if names.kind == "do-minor" else (_at_fifths(fifths), fifths)


def _at_fifths(place: int) -> Pitch:
    alter, letter = divmod(place + 1, 7)
    return Pitch("FCGDAEB"[letter], max(-2, min(2, alter)), 4)


def _altered(pitch: Pitch, fifths: int) -> int:
    """Semitones by which a pitch stands off its letter in a signature of *fifths*."""
    natural = line_of_fifths(Pitch(pitch.step, 0, 4))
    signed = (fifths + 5 - natural) // 7
    return pitch.alter - signed
