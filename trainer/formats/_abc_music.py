"""One line of ABC music, sign by sign, into its voice.

Source: The abc music standard 2.1, section 4 (the tune body).
"""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction

from trainer.formats._abc_voice import Voice
from trainer.formats._written import Unreadable

_LENGTH = r"\d{0,4}(?:/+\d{0,4})*"
_NOTE = r"(\^\^|\^|__|_|=)?([A-Ga-g])([,']{0,9})"
_SIGNS = re.compile(
    rf"""
    (?P<skip>[\s`$\\*y])
  | (?P<text>"[^"]*")
  | (?P<field>\[[A-Za-z]:[^\]]*\])
  | (?P<grace>\{{[^}}]*\}})
  | (?P<bar>\.?(?:\[\|\]|\[\||\|\]|\||:)+(?P<after>\d+(?:[-,]\d+)*)?)
  | (?P<ending>\[(?P<times>\d+(?:[-,]\d+)*))
  | (?P<tuplet>\((?P<p>\d)(?::(?P<q>\d?))?(?::(?P<r>\d?))?)
  | (?P<slur>[()])
  | (?P<chord>\[(?P<inside>[^\]\[|:]*)\](?P<chord_length>{_LENGTH}))
  | (?P<note>{_NOTE}(?P<note_length>{_LENGTH}))
  | (?P<rest>[zx](?P<rest_length>{_LENGTH}))
  | (?P<bars>[ZX](?P<count>\d{{0,4}}))
  | (?P<broken>>+|<+)
  | (?P<tie>\.?-)
  | (?P<overlay>&)
  | (?P<mark>![^!]*!|\+[^+]*\+)
  | (?P<letter>[.~H-Wh-w])
    """,
    re.VERBOSE,
)
_IN_CHORD = re.compile(rf"{_NOTE}({_LENGTH})(-)?|(![^!]*!|\"[^\"]*\"|[.~H-Wh-w\s])")
_INSTEAD = {2: 3, 3: 2, 4: 3, 6: 2, 8: 3}
_JUMPS = {"d.c.": "capo", "dacapo": "capo", "d.s.": "segno", "dalsegno": "segno"}


def take_line(voice: Voice, text: str, line: int, on_field: Callable[[str, str], Voice]) -> None:
    """Read one line of music into *voice*; *on_field* takes fields in brackets and gives the voice that goes on. Raises Unreadable."""
    at = 0
    while at < len(text):
        match = _SIGNS.match(text, at)
        if match is None:
            raise Unreadable(f"{text[at : at + 12]!r} (character {at + 1}) is no music")
        at = match.end()
        if match["field"]:
            name, value = match["field"][1], match["field"][3:-1]
            voice = on_field(name, value)
        elif match["note"]:
            sign, letter, marks = re.match(_NOTE, match["note"]).groups("")  # type: ignore[union-attr]
            voice.sound([(sign, letter, marks, False)], _length(match["note_length"]), tie=False, line=line)
        elif match["chord"]:
            _chord(voice, match["inside"], _length(match["chord_length"]), line)
        elif match["rest"]:
            voice.sound([], _length(match["rest_length"]), tie=False, line=line)
        elif match["bars"]:
            voice.rest_bars(int(match["count"] or 1), line)
        elif match["bar"]:
            _bar(voice, match["bar"].lstrip(".").rstrip("0123456789,-"), match["after"])
        elif match["ending"]:
            _begin_ending(voice, match["times"])
        elif match["tuplet"]:
            _tuplet(voice, int(match["p"]), match["q"], match["r"])
        elif match["grace"]:
            voice.grace_notes += len(re.findall(_NOTE, match["grace"]))
        elif match["broken"]:
            voice.break_rhythm(match["broken"])
        elif match["tie"]:
            voice.tie()
        elif match["overlay"]:
            voice.lay_over()
        elif match["mark"]:
            _mark(voice, match["mark"][1:-1].strip().lower())


def _length(text: str) -> Fraction:
    """The multiple of the unit: 3, 3/2, /, //, /4."""
    match = re.match(r"(\d*)(/*)(\d*)\Z", text)
    if match is None:
        raise Unreadable(f"{text[:12]!r} is not a note length")
    upper, slashes, lower = match.groups()
    if (lower and len(slashes) > 1) or (lower and not int(lower)) or len(slashes) > 9:
        raise Unreadable(f"{text[:12]!r} is not a note length")
    below = int(lower) if lower else 2 ** len(slashes)
    return Fraction(int(upper or 1), below)


def _chord(voice: Voice, inside: str, outer: Fraction, line: int) -> None:
    notes: list[tuple[str, str, str, bool]] = []
    length, at = Fraction(1), 0
    while at < len(inside):
        match = _IN_CHORD.match(inside, at)
        if match is None:
            raise Unreadable(f"the chord [{inside[:20]}] holds {inside[at]!r}, which is no note")
        at = match.end()
        sign, letter, marks, own, tie, _ = match.groups("")
        if letter:
            if not notes:  # the first note's length is the chord's (4.17)
                length = _length(own)
            notes.append((sign, letter, marks, bool(tie)))
    if not notes:
        raise Unreadable("a chord of no notes")
    voice.sound(notes, length * outer, tie=False, line=line)


def _bar(voice: Voice, sign: str, after: str | None) -> None:
    if "|" not in sign and sign != "::":
        raise Unreadable(f"{sign!r} is not a bar line")
    voice.close()
    before, behind = re.match(r":*", sign)[0], re.search(r":*\Z", sign)[0]  # type: ignore[index]
    if sign == "::":
        before = behind = ":"
    if voice.measures:
        last = voice.measures[-1]
        if before:
            last.repeat_times = len(before) + 1
        if sign != "|":
            last.ending_stops = True
    voice.measure.repeat_from |= bool(behind)
    if after:
        _begin_ending(voice, after)


def _begin_ending(voice: Voice, times: str) -> None:
    if voice.at:
        raise Unreadable("an ending begins inside a bar")
    found: list[int] = []
    for part in times.split(","):
        first, _, last = part.partition("-")
        if not 1 <= int(first) <= int(last or first) <= 99:
            raise Unreadable(f"{times[:20]!r} are no endings")
        found += range(int(first), int(last or first) + 1)
    voice.measure.ending_starts = tuple(found)


def _tuplet(voice: Voice, notes: int, instead: str | None, count: str | None) -> None:
    compound = voice.meter is not None and voice.meter.beats % 3 == 0 and voice.meter.beats > 3
    usual = _INSTEAD.get(notes, 3 if compound else 2)
    voice.begin_tuplet(notes, int(instead) if instead else usual, int(count) if count else notes)


def _mark(voice: Voice, name: str) -> None:
    measure = voice.measure
    if name in ("breath", "shortphrase", "mediumphrase", "longphrase"):
        voice.breathe()
    elif name in ("segno", "coda"):
        measure.segno |= name == "segno"
        measure.coda |= name == "coda"
    elif name in ("dacoda", "tocoda"):
        measure.to_coda = True
    elif name == "fine":
        measure.fine, measure.leaves_at = True, voice.at
    else:
        for word, jump in _JUMPS.items():
            if name.startswith(word):
                measure.jump, measure.leaves_at = jump, voice.at
