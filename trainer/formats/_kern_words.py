"""Interpretations, bar lines and records of kern as plain values.

Source: D. Huron, The Humdrum Toolkit: Reference Manual, 1994 (tandem interpretations, bar lines, reference records).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from trainer.formats._written import Unreadable
from trainer.score.modes import signature_fifths
from trainer.score.time import Meter

CODES = {
    "soprn": "soprano", "mezz": "mezzo-soprano", "calto": "contralto", "alto": "alto", "tenor": "tenor", "barit": "baritone",
    "bass": "bass", "cant": "cantus", "quint": "quintus", "vox": "voice",
}  # fmt: skip
"""Instrument codes of voices; any other code names its part by itself."""

_MODES = {
    "dor": "dorian", "phr": "phrygian", "lyd": "lydian", "mix": "mixolydian", "aeo": "aeolian", "ion": "ionian", "loc": "locrian",
}  # fmt: skip
_METER = re.compile(r"\*M(\d{1,2}(?:\+\d{1,2})*)/(\d{1,2})\Z")
_SIGNATURE = re.compile(r"\*k\[([a-g#n-]*)\]\Z")
_KEY = re.compile(r"\*([A-Ga-g])(#|-)?:(\w{3})?\Z")
_TEMPO = re.compile(r"\*MM(\d{1,4}(?:\.\d{1,4})?)\Z")
_BAR = re.compile(r"=+(\d{1,6}[a-z]?)?(.*)\Z")


@dataclass(frozen=True, slots=True)
class BarLine:
    """Its number, "" for none, and whether a repeated section ends or begins there."""

    printed: str
    repeat_ends: bool
    repeat_begins: bool


def bar_line(token: str) -> BarLine:
    """What a bar line says."""
    match = _BAR.match(token)
    printed, style = match.groups() if match else ("", "")
    return BarLine(printed or "", re.search(r":[|!]", style) is not None, re.search(r"[|!]:", style) is not None)


def meter_of(token: str) -> Meter | None:
    """The meter that an interpretation gives, None when it gives none. Raises Unreadable."""
    match = _METER.match(token)
    if match is None:
        return None
    beats, unit = sum(int(part) for part in match[1].split("+")), match[2]
    if not unit.strip("0"):  # a breve, or twice that
        beats, unit = beats * 2 ** len(unit), "1"
    try:
        return Meter(beats, int(unit))
    except ValueError as err:
        raise Unreadable(str(err)) from err


def is_unmetered(token: str) -> bool:
    """Whether an interpretation says that there is no meter."""
    return token.startswith(("*MX", "*M?"))


def signature_of(token: str) -> int | None:
    """The sharps (flats negative) of a signature, None for other interpretations. Raises Unreadable."""
    match = _SIGNATURE.match(token)
    if match is None:
        return None
    signs = match[1]
    sharps = set(re.findall(r"([a-g])#(?!#)", signs))
    flats = set(re.findall(r"([a-g])-(?!-)", signs))
    for fifths in range(-7, 8):
        if sharps == set("fcgdaeb"[: max(fifths, 0)]) and flats == set("beadgcf"[: max(-fifths, 0)]):
            return fifths
    raise Unreadable(f"the signature {signs!r} is not a usual one")


def key_of(token: str) -> tuple[str, int] | None:
    """Mode and the sharps (flats negative) that it implies, for a token that names a key; else None."""
    match = _KEY.match(token)
    if match is None:
        return None
    letter, sign, mode = match.groups()
    word = _MODES.get(mode, "") if mode else ("minor" if letter.islower() else "major")
    if not word:
        return None
    final = letter.upper() + {"-": "b", "#": "#"}.get(sign or "", "")
    return word, signature_fifths(final, word)


def tempo_of(token: str) -> Fraction | None:
    """Quarters a minute, None for other interpretations."""
    match = _TEMPO.match(token)
    return Fraction(match[1]) if match and Fraction(match[1]) > 0 else None


def syllable(token: str) -> str:
    """The syllable of a text token: "" for none, with a hyphen behind where its word goes on."""
    bare = token.strip().lstrip("-")
    return "" if bare in ("", ".", "_", "|", "%") else bare
