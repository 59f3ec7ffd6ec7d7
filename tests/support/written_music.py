"""Written music for tests, kept apart from the project's own model: names and lengths in, MusicXML and MIDI out.

The MusicXML is the least that the open standard (W3C MusicXML 4.0, partwise) asks for, made here by hand so that a reader of the
project is never tested against its own writer. Pieces are our own.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from itertools import groupby
from pathlib import Path
from xml.sax.saxutils import escape

STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
DIVISIONS = 8
TYPES = {8: "breve", 4: "whole", 2: "half", 1: "quarter", Fraction(1, 2): "eighth", Fraction(1, 4): "16th"}


@cache
def midi_of(name: str) -> int:
    """MIDI number of a scientific name; C4 is 60."""
    letter, signs, octave = re.fullmatch(r"([A-G])([#b]*)(-?\d)", name).groups()  # type: ignore[union-attr]
    return STEPS[letter] + signs.count("#") - signs.count("b") + 12 * (int(octave) + 1)


@dataclass(frozen=True, slots=True)
class Written:
    """One note of a line; tied notes are one. Times in quarters from the start."""

    name: str
    onset_quarters: Fraction
    length_quarters: Fraction

    @property
    def midi(self) -> int:
        return midi_of(self.name)

    @property
    def end_quarters(self) -> Fraction:
        return self.onset_quarters + self.length_quarters


@dataclass(frozen=True, slots=True)
class Piece:
    """Lines top first; each a text such as ``B4:4 F#4:2 r:2``, lengths in quarters."""

    title: str
    lines: tuple[tuple[str, str], ...]
    beats: int = 4
    unit: int = 4
    qpm: int = 60

    @property
    def voices(self) -> tuple[str, ...]:
        return tuple(name for name, _ in self.lines)

    def notes(self, voice: str) -> tuple[Written, ...]:
        """The notes of one line, rests left out."""
        return _sung(dict(self.lines)[voice])

    def places(self, voice: str) -> tuple[Written, ...]:
        """Notes and rests of one line."""
        return _places(dict(self.lines)[voice])

    @property
    def bar_quarters(self) -> Fraction:
        return Fraction(4 * self.beats, self.unit)

    @property
    def end_quarters(self) -> Fraction:
        return max(self.places(voice)[-1].end_quarters for voice in self.voices)

    def sounding(self, voice: str, quarters: Fraction) -> Written | None:
        """The note of *voice* at a place."""
        notes = self.notes(voice)
        k = bisect_right(notes, quarters, key=_onset) - 1
        return notes[k] if k >= 0 and quarters < notes[k].end_quarters else None


def _onset(note: Written) -> Fraction:
    return note.onset_quarters


@cache
def _places(words: str) -> tuple[Written, ...]:
    at, found = Fraction(0), []
    for word in words.split():
        name, length = word.split(":")
        found.append(Written(name, at, Fraction(length)))
        at += Fraction(length)
    return tuple(found)


@cache
def _sung(words: str) -> tuple[Written, ...]:
    return tuple(note for note in _places(words) if note.name != "r")


def even(names: str, quarters: int | Fraction = 4) -> str:
    """A line of notes of one length."""
    return " ".join(f"{name}:{quarters}" for name in names.split())


FERRY_BELL = Piece(
    "Ferry Bell at Low Water",
    (
        ("soprano", even("B4 F#4 G#4 A4 G#4 F#4 E4 D4 E4 F#4 F#4")),
        ("alto", even("B3 C#4 E4 F#4 E4 D4 B3 A3 B3 C#4 B3")),
        ("tenor", even("F#3 A3 B3 C#4 B3 F#3 G#3 A3 G#3 F#3 D#3")),
        ("bass", even("B2 A2 G#2 F#2 G#2 B2 G#2 F#2 G#2 A#2 B2")),
    ),
    qpm=120,
)
"""First species, B dorian: the tenor shares the alto's note in bar 8."""

LOCK_GATE = Piece(
    "Lock Gate Song",
    (
        ("soprano", "A4:4 r:2 C5:2 B4:2 A4:2 G4:4 F4:2 A4:2 G4:4 A4:2 B4:2 C#5:4"),
        ("alto", "E4:4 F4:2 E4:2 D4:1 E4:1 F4:2 E4:2 r:2 D4:2 F4:2 D4:1 E4:1 C4:2 F4:2 D4:2 E4:4"),
        ("tenor", "C4:2 B3:2 A3:4 F3:2 A3:2 C4:2 B3:2 A3:2 D4:2 B3:4 D4:2 G#3:2 A3:4"),
        ("bass", "A2:4 D3:2 A2:2 B2:2 D3:2 C3:4 D3:2 D3:2 G3:2 E3:2 D3:2 E3:2 A2:4"),
    ),
    qpm=72,
)
"""Mixed lengths, rests, a repeated note: shorter notes than a first species has."""


def write_musicxml(piece: Piece, path: Path) -> Path:
    """*piece* as an uncompressed MusicXML file, notes cut at bar lines and tied."""
    parts = "".join(
        f'<score-part id="P{k}"><part-name>{voice.title()}</part-name></score-part>'
        for k, voice in enumerate(piece.voices, start=1)
    )
    bodies = "".join(
        f'<part id="P{k}">{_measures(piece, voice, with_tempo=k == 1)}</part>'
        for k, voice in enumerate(piece.voices, start=1)
    )
    path.write_text(
        '<?xml version="1.0" encoding="UTF-8"?>\n<score-partwise version="4.0">'
        f"<work><work-title>{escape(piece.title)}</work-title></work><part-list>{parts}</part-list>{bodies}"
        "</score-partwise>\n",
        encoding="utf-8",
    )
    return path


def _measures(piece: Piece, voice: str, *, with_tempo: bool) -> str:
    pieces = []
    for note in piece.places(voice):
        at, end = note.onset_quarters, note.end_quarters
        while at < end:
            bar_end = (at // piece.bar_quarters + 1) * piece.bar_quarters
            stop = min(end, bar_end)
            pieces.append((at // piece.bar_quarters, note.name, stop - at, at > note.onset_quarters, stop < end))
            at = stop
    text = []
    for bar, cut in groupby(pieces, key=lambda row: row[0]):
        first = (
            f"<attributes><divisions>{DIVISIONS}</divisions><time><beats>{piece.beats}</beats>"
            f"<beat-type>{piece.unit}</beat-type></time></attributes>"
        )
        if with_tempo:
            first += (
                f'<direction><direction-type><words> </words></direction-type><sound tempo="{piece.qpm}"/></direction>'
            )
        notes = "".join(_note(name, length, tie_from, tie_to) for _, name, length, tie_from, tie_to in cut)
        text.append(f'<measure number="{bar + 1}">{first if bar == 0 else ""}{notes}</measure>')
    return "".join(text)


def _note(name: str, length: Fraction, tie_from: bool, tie_to: bool) -> str:
    ties = '<tie type="stop"/>' * tie_from + '<tie type="start"/>' * tie_to
    kind = f"<type>{TYPES[length]}</type>" if length in TYPES else ""
    if name == "r":
        head = "<rest/>"
    else:
        alter = name.count("#") - name.count("b")
        head = f"<pitch><step>{name[0]}</step>" + (f"<alter>{alter}</alter>" if alter else "")
        head += f"<octave>{name[-1]}</octave></pitch>"
    return f"<note>{head}<duration>{length * DIVISIONS}</duration>{ties}{kind}</note>"
