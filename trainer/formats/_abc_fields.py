"""Information fields of ABC as plain values: meter, unit, tempo, key, voice.

Source: The abc music standard 2.1, sections 3.1 (fields), 4.6 (clefs and transposition) and 7.1 (voices).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from trainer.formats._written import Unreadable
from trainer.score.model import Key
from trainer.score.modes import signature_fifths
from trainer.score.pitch import Interval
from trainer.score.time import Meter

SHARPS = "FCGDAEB"
SIGNS = {"^^": 2, "^": 1, "=": 0, "_": -1, "__": -2, "": 0}

_MODES = {
    "": "major", "maj": "major", "ion": "ionian", "m": "minor", "min": "minor", "aeo": "aeolian", "mix": "mixolydian",
    "dor": "dorian", "phr": "phrygian", "lyd": "lydian", "loc": "locrian",
}  # fmt: skip
_TONIC = re.compile(r"([A-G])([#b]?)([A-Za-z]*)\Z")
_EXTRA = re.compile(r"(\^\^|\^|__|_|=)([A-Ga-g])\Z")
_BEAT = re.compile(r"(\d{1,3})/(\d{1,3})")
_TEMPO = re.compile(r"(?:((?:\d{1,3}/\d{1,3}\s*)+)=\s*)?(\d{1,4}(?:\.\d{1,3})?)\Z")
_PROPERTY = re.compile(r'([A-Za-z-]+)\s*=\s*("[^"]*"|\S+)|(\S+)')
_CLEF = re.compile(r"(treble|bass|alto|tenor|none|perc|[GFC])(\d?)([+-]8|[+-]15)?\Z")


@dataclass(frozen=True, slots=True)
class Signature:
    """What a ``K:`` says: the signs of its letters, the key for people, and what it says of the staff."""

    alters: dict[str, int]
    key: Key
    staff: dict[str, str]


def meter_of(text: str) -> Meter | None:
    """The meter of an ``M:`` field, None for free meter. Raises Unreadable."""
    bare = text.replace("(", "").replace(")", "").replace(" ", "")
    if bare in ("", "none"):
        return None
    bare = {"C": "4/4", "C|": "2/2"}.get(bare, bare)
    upper, slash, lower = bare.partition("/")
    if not slash or not re.match(r"\d{1,2}(\+\d{1,2})*\Z", upper) or not re.match(r"\d{1,2}\Z", lower):
        raise Unreadable(f"M:{text[:20]} is not a meter")
    try:
        return Meter(sum(map(int, upper.split("+"))), int(lower))
    except ValueError as err:
        raise Unreadable(f"M:{text[:20]} is not a meter") from err


def usual_unit(meter: Meter | None) -> Fraction:
    """The unit, as a part of a whole note, where no ``L:`` gives one (3.1.7)."""
    return (
        Fraction(1, 16) if meter is not None and Fraction(meter.beats, meter.unit) < Fraction(3, 4) else Fraction(1, 8)
    )


def unit_of(text: str) -> Fraction:
    """The unit of an ``L:`` field as a part of a whole note. Raises Unreadable."""
    match = re.match(r"(\d{1,2})(?:/(\d{1,3}))?\Z", text.strip())
    if match is None or not int(match[1]) or (match[2] is not None and not int(match[2])):
        raise Unreadable(f"L:{text[:20]} is not a note length")
    return Fraction(int(match[1]), int(match[2] or 1))


def tempo_of(text: str, unit: Fraction) -> Fraction | None:
    """Quarters a minute of a ``Q:`` field, None where it has words only. Raises Unreadable."""
    bare = re.sub(r'"[^"]*"', "", text).strip()
    if not bare:
        return None
    match = _TEMPO.match(bare)
    if match is None or not Fraction(match[2]) or "/0" in (match[1] or ""):
        raise Unreadable(f"Q:{text[:30]} is not a tempo")
    beat = sum((Fraction(int(a), int(b)) for a, b in _BEAT.findall(match[1] or "")), Fraction(0)) or unit
    return 4 * beat * Fraction(match[2])


def signature_of(text: str, before: Signature | None) -> Signature:
    """What a ``K:`` field says; one that names no key leaves the key *before* it. Raises Unreadable."""
    words = text.split()
    properties, rest = properties_of(" ".join(words))
    key = _named(rest, text)
    if key is None:
        held = before or Signature({}, Key(0), {})
        return Signature(held.alters, held.key, properties)
    alters = dict.fromkeys(SHARPS[: max(key.fifths, 0)], 1)
    alters |= dict.fromkeys(SHARPS[::-1][: max(-key.fifths, 0)], -1)
    if "exp" in rest:
        alters = {}
    for word in rest:
        match = _EXTRA.match(word)
        if match:
            alters[match[2].upper()] = SIGNS[match[1]]
    return Signature(alters, key, properties)


def _named(rest: list[str], text: str) -> Key | None:
    """The key that the words of a ``K:`` name, None where they name none."""
    if not rest or rest[0].lower() == "none":
        return Key(0) if rest or not text.strip() else None
    if rest[0] in ("HP", "Hp"):  # the great Highland pipes: f and c sharp
        return Key(2)
    match = _TONIC.match(rest[0])
    if match is None:
        if _EXTRA.match(rest[0]):
            return Key(0)
        raise Unreadable(f"K:{text[:30]} is not a key")
    letter, sign, word = match.groups()
    if not word and len(rest) > 1 and rest[1].isalpha() and rest[1].lower() != "exp":
        word = rest[1]
    low = word.lower()
    mode = _MODES.get(low if len(low) < 3 else low[:3])
    if mode is None:
        raise Unreadable(f"K:{text[:30]}: {word!r} is not a mode")
    fifths = signature_fifths(letter + sign, mode)
    if abs(fifths) > 7:
        raise Unreadable(f"K:{text[:30]} needs more than seven signs")
    return Key(fifths, mode)


def properties_of(text: str) -> tuple[dict[str, str], list[str]]:
    """``name=value`` pairs of a field, a bare clef as ``clef``; and the other words."""
    found: dict[str, str] = {}
    rest = []
    for match in _PROPERTY.finditer(text):
        name, value, word = match.groups()
        if name:
            found[name.lower()] = value.strip('"')
        elif _CLEF.match(word) and len(word) > 1 and not _TONIC.match(word):
            found["clef"] = word
        else:
            rest.append(word)
    return found, rest


def shift_of(staff: dict[str, str]) -> Interval | None:
    """How far a voice sounds from what is written, None where the field says nothing of it. Raises Unreadable."""
    clef = staff.get("clef", "")
    if clef.startswith("perc") or staff.get("stafflines") == "1":
        raise Unreadable("percussion, which has no pitches")
    said = [name for name in ("clef", "octave", "transpose", "t") if name in staff]
    if not said:
        return None
    octaves = {"+8": 1, "-8": -1, "+15": 2, "-15": -2}.get(_suffix(clef), 0) + _number(staff.get("octave", "0"))
    semitones = _number(staff.get("transpose", staff.get("t", "0")))
    return Interval(7 * octaves + round(semitones * 7 / 12), 12 * octaves + semitones)


def _suffix(clef: str) -> str:
    match = _CLEF.match(clef)
    return (match[3] or "") if match else ""


def _number(text: str) -> int:
    if not re.match(r"[+-]?\d{1,2}\Z", text):
        raise Unreadable(f"{text[:20]!r} is not a number of octaves or semitones")
    return int(text)
