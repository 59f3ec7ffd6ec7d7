"""One note, rest or mark of MusicXML as plain values; no time passes here.

Source: MusicXML 4.0, W3C Community Group Report 2021 (element names and meanings).
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING

from trainer.formats._written import TICKS_A_QUARTER, Ticks, Unreadable, in_ticks
from trainer.score.pitch import Interval, Pitch
from trainer.score.time import Meter

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

TYPE_QUARTERS = {
    "maxima": Fraction(32),
    "long": Fraction(16),
    "breve": Fraction(8),
    "whole": Fraction(4),
    "half": Fraction(2),
    "quarter": Fraction(1),
    "eighth": Fraction(1, 2),
    "16th": Fraction(1, 4),
    "32nd": Fraction(1, 8),
    "64th": Fraction(1, 16),
    "128th": Fraction(1, 32),
    "256th": Fraction(1, 64),
    "512th": Fraction(1, 128),
    "1024th": Fraction(1, 256),
}

_NUMBER = re.compile(r"[+-]?\d{1,9}(?:\.\d{1,9})?\Z")
_TEMPO = re.compile(r"\d{1,6}(?:\.\d{1,6})?")


def number(text: str | None, what: str) -> Fraction:
    """The exact number in *text*. Raises Unreadable."""
    if text is None or not _NUMBER.match(text.strip()):
        raise Unreadable(f"{(text or '').strip()[:40]!r} is not a {what}")
    return Fraction(text.strip())


def whole(text: str | None, what: str) -> int:
    """The whole number in *text*. Raises Unreadable."""
    value = number(text, what)
    if value.denominator != 1:
        raise Unreadable(f"{value} is not a {what}")
    return int(value)


def pitch_of(element: Element, transpose: Interval) -> Pitch:
    """The sounding pitch of a note that has one. Raises Unreadable."""
    pitch = element.find("pitch")
    if pitch is None:
        raise Unreadable("a note without a pitch (percussion or spoken)")
    return _pitch(pitch.findtext("step"), pitch.findtext("alter"), pitch.findtext("octave"), transpose)


@lru_cache(maxsize=1024)  # a piece has few pitches and many notes
def _pitch(step: str | None, alter_text: str | None, octave: str | None, transpose: Interval) -> Pitch:
    alter = number(alter_text or "0", "alteration")
    if alter.denominator != 1:
        raise Unreadable("a quarter-tone")
    try:
        written = Pitch((step or "").strip(), int(alter), whole(octave, "octave"))
        sounding = written.transposed(transpose)
    except ValueError as err:
        raise Unreadable(str(err)) from err
    if not 0 <= sounding.midi <= 127:
        raise Unreadable(f"{sounding}, which cannot be sounded,")
    return sounding


@lru_cache(maxsize=1024)
def duration(text: str | None, divisions: Fraction) -> Ticks:
    """The ticks of a duration. Raises Unreadable."""
    length = number(text, "duration") / divisions
    if length < 0:
        raise Unreadable("a duration below 0")
    return in_ticks(length)


def length_of(element: Element, divisions: Fraction) -> Ticks:
    """Length in ticks. Programs round tuplets to whole divisions; the written value then says what was meant."""
    length = duration(element.findtext("duration"), divisions)
    change = element.find("time-modification")
    base = None if change is None else TYPE_QUARTERS.get((element.findtext("type") or "").strip())
    if base is not None and change is not None:
        actual = number(change.findtext("actual-notes"), "tuplet")
        normal = number(change.findtext("normal-notes"), "tuplet")
        if actual > 0 and normal > 0:
            dots = min(len(element.findall("dot")), 4)
            meant = in_ticks(base * (2 - Fraction(1, 2**dots)) * normal / actual)
            # the difference is below one division
            if abs(Fraction(meant - length)) * divisions < TICKS_A_QUARTER:
                return meant
    return length


def lyrics_of(element: Element) -> tuple[tuple[str, str], ...]:
    """(verse number, syllable) of every lyric; a syllable that its word goes on from ends in a hyphen."""
    found = []
    for lyric in element.findall("lyric"):
        text = "".join(
            child.text or "" if child.tag == "text" else " " for child in lyric if child.tag in ("text", "elision")
        )
        said = " ".join(text.split())
        if said:
            goes_on = lyric.findtext("syllabic", "").strip() in ("begin", "middle")
            found.append((lyric.get("number", "1"), said + ("-" if goes_on else "")))
    return tuple(found)


def meter_of(time: Element) -> Meter | None:
    """The meter, several added up; None for music without one. Raises Unreadable."""
    uppers, lowers = time.findall("beats"), time.findall("beat-type")
    if time.find("senza-misura") is not None or not uppers:
        return None
    total = Fraction(0)
    unit = 1
    for upper, lower in zip(uppers, lowers, strict=False):
        below = whole(lower.text, "meter")
        if below <= 0:
            raise Unreadable(f"{below} is not a meter")
        unit = max(unit, below)
        total += sum((number(part, "meter") for part in (upper.text or "").split("+")), Fraction(0)) / below
    try:
        if (total * unit).denominator != 1:
            raise ValueError(f"{total} is not a meter")
        return Meter(int(total * unit), unit)
    except ValueError as err:
        raise Unreadable(str(err)) from err


def transpose_of(element: Element) -> Interval:
    """From written to sounding pitch. Raises Unreadable."""
    chromatic = whole(element.findtext("chromatic") or "0", "transposition")
    octaves = whole(element.findtext("octave-change") or "0", "transposition")
    given = element.findtext("diatonic")
    # without it, the plainest spelling: seven letters share twelve semitones
    diatonic = round(chromatic * 7 / 12) if given is None else whole(given, "transposition")
    if abs(chromatic) > 48 or abs(octaves) > 4:
        raise Unreadable("a transposition of more than four octaves")
    interval = Interval(diatonic + 7 * octaves, chromatic + 12 * octaves)
    try:
        Pitch("C", 0, 4).transposed(interval)
    except ValueError as err:
        raise Unreadable(f"a transposition of {chromatic} semitones over {diatonic} letters") from err
    return interval


def tempo_of(element: Element) -> Fraction | None:
    """Quarters a minute said by a direction or a sound element, None when it says nothing usable."""
    sounds = [element] if element.tag == "sound" else element.findall("sound")
    for sound in sounds:
        match = _TEMPO.match((sound.get("tempo") or "").strip())
        if match and Fraction(match[0]) > 0:
            return Fraction(match[0])
    for metronome in element.iter("metronome"):
        base = TYPE_QUARTERS.get((metronome.findtext("beat-unit") or "").strip())
        match = _TEMPO.search(metronome.findtext("per-minute") or "")
        if base and match and Fraction(match[0]) > 0 and len(metronome.findall("beat-unit")) == 1:
            dots = min(len(metronome.findall("beat-unit-dot")), 4)
            return Fraction(match[0]) * base * (2 - Fraction(1, 2**dots))
    return None
