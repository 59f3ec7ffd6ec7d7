"""Words of the drill text that its reader and writer share."""

from __future__ import annotations

import re

from trainer.score.modes import split_mode

FACTS = ("species", "mode", "cantus", "sing", "level", "crux", "compass", "rules", "line", "source", "remark")
"""Headers that go into ``Score.facts``."""

HEADERS = ("title", "meter", "key", "tempo", "pickup", "printed", *FACTS)

SPECIES = {"first": "1", "second": "2", "third": "3", "fourth": "4", "fifth": "5", "florid": "5"}
"""Names of the species that may be typed for the figure."""

HOLD, REST, BREATH, REMARK = "-", ".", "'", ";"

NOTE = re.compile(r"([A-Ga-g])(##|bb|#|b)?(-?\d{1,2})?\Z")


def signature_words(fifths: int) -> str:
    """A signature as typed: "2 flats", "1 sharp", "no signs"."""
    if fifths == 0:
        return "no signs"
    count = abs(fifths)
    return f"{count} {'sharp' if fifths > 0 else 'flat'}{'s' if count > 1 else ''}"


def nearest_octave(step_index: int, before_diatonic: int) -> int:
    """The octave in which the letter lies within a fourth of the staff position *before_diatonic*."""
    return (before_diatonic + 3 - step_index) // 7


def settled_fact(name: str, value: str, voices: tuple[str, ...]) -> str:
    """The value that a typed fact is kept as. Raises ValueError with what may be typed.

    Parameters
    ----------
    name, value : str
        A header of FACTS and what stands behind it.
    voices : tuple of str
        Names that a voice may be called by.
    """
    low = value.lower()
    if name == "species":
        if SPECIES.get(low, low) not in ("1", "2", "3", "4", "5", "combined", "free"):
            raise ValueError("a species is 1 to 5, combined or free")
        return SPECIES.get(low, low)
    if name == "mode":
        final, mode = split_mode(value)
        return f"{final} {mode}"
    if name in ("cantus", "sing") and low not in voices:
        raise ValueError(f"the voices are {', '.join(voices)}")
    if name == "compass":
        low_high = value.replace(" to ", " ").split()
        if len(low_high) != 2 or not all(NOTE.match(pitch) and pitch[-1].isdecimal() for pitch in low_high):
            raise ValueError("a compass is the lowest and the highest note, as in C#4 A4")
        return " ".join(low_high)
    if name == "level" and not (value.isascii() and value.isdecimal() and len(value) <= 2):
        raise ValueError("a level is a whole number, 1 the easiest")
    return low if name in ("cantus", "sing") else value
