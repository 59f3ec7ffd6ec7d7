"""Modes and the key signatures they are written with.

Conventions: a mode is a word in lower case, a final is a letter with its sign, and a signature is a number of fifths, sharps positive.
The eight church modes' signatures follow from where each lies in the white-key scale (common practice, no source).
"""

from __future__ import annotations

from trainer.score.pitch import Pitch, line_of_fifths

MODE_FIFTHS = {
    "lydian": 1,
    "ionian": 0,
    "major": 0,
    "mixolydian": -1,
    "dorian": -2,
    "aeolian": -3,
    "minor": -3,
    "phrygian": -4,
    "locrian": -5,
}
"""Fifths of the signature less the final's place on the line of fifths: D dorian, 2 - 2 = 0."""


def signature_fifths(final: str, mode: str) -> int:
    """Sharps (flats negative) in the signature of *mode* on *final*. Raises ValueError when either is unknown."""
    if mode not in MODE_FIFTHS:
        raise ValueError(f"{mode!r} is not a mode")
    return line_of_fifths(Pitch.parse(f"{final}4")) + MODE_FIFTHS[mode]


def final_of(fifths: int, mode: str) -> str:
    """The final, such as "F#", of *mode* under a signature of *fifths*. Raises ValueError when the mode is unknown."""
    if mode not in MODE_FIFTHS:
        raise ValueError(f"{mode!r} is not a mode")
    alter, letter = divmod(fifths - MODE_FIFTHS[mode] + 1, 7)
    return "FCGDAEB"[letter] + ("#" * alter if alter > 0 else "b" * -alter)


def split_mode(text: str) -> tuple[str, str]:
    """Final and mode of a phrase such as "B dorian" or "e-flat lydian". Raises ValueError on anything else."""
    words = text.lower().replace("-flat", "b").replace("-sharp", "#").split()
    if len(words) == 3 and words[1] in ("flat", "sharp"):
        words = [words[0] + {"flat": "b", "sharp": "#"}[words[1]], words[2]]
    if len(words) != 2:
        raise ValueError(f"{text!r} is not a final and a mode")
    final = words[0][:1].upper() + words[0][1:]
    signature_fifths(final, words[1])
    return final, words[1]
