"""Sung notes of MusicXML parts as lines: voices told apart, chords divided, ties joined.

A voice with chords is as many lines as its chords have notes, the top note to the first; a single note among them is sung by all.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.errors import ScoreError
from trainer.formats._xml_measures import Document
from trainer.formats._xml_note import Written
from trainer.score.model import Line, Note, Origin
from trainer.score.time import Bars

MOST_LINES = 16


@dataclass(frozen=True, slots=True)
class _Sung:
    """A written note at its absolute place, and which time through it is sung."""

    onset: Fraction
    written: Written
    through: int

    @property
    def end(self) -> Fraction:
        return self.onset + self.written.length


def lines_of(
    document: Document, order: list[tuple[int, int]], onsets: tuple[Fraction, ...], *, bars: Bars, path: str
) -> tuple[Line, ...]:
    """Every voice that sings, top part first. Raises ScoreError."""
    lines: list[Line] = []
    for part, name in enumerate(document.part_names):
        sung = [
            _Sung(onset + written.at, written, through)
            for (index, through), onset in zip(order, onsets, strict=True)
            for written in (document.measures[index].notes[part] if part < len(document.measures[index].notes) else ())
        ]
        streams = [
            stream for voice in _voices(sung) for stream in _divided(voice, bars, f"{path}, part {name or part + 1}")
        ]
        for number, stream in enumerate(streams, start=1):
            own = name or (f"part {part + 1}" if len(document.part_names) > 1 or len(streams) == 1 else "voice")
            wanted = own if len(streams) == 1 else f"{own} {number}"
            where = f"{path}, part {wanted}"
            lines.append(Line(_unused(wanted, lines), _notes(stream, bars, where, path)))
    if len(lines) > MOST_LINES:
        raise ScoreError(
            f"the file has {len(lines)} voices", path, f"heldline takes up to {MOST_LINES}; export fewer parts"
        )
    return tuple(lines)


def _unused(wanted: str, lines: list[Line]) -> str:
    taken = {line.name.lower() for line in lines}
    name, copy = wanted, 2
    while name.lower() in taken:
        name, copy = f"{wanted} ({copy})", copy + 1
    return name


def _voices(sung: list[_Sung]) -> list[list[_Sung]]:
    """Notes by voice number; by staff too where one number is used on two staves at one time."""
    by_voice: dict[str, list[_Sung]] = {}
    for note in sung:
        by_voice.setdefault(note.written.voice, []).append(note)
    found: list[tuple[tuple[int, str, int, str], list[_Sung]]] = []
    for voice, notes in by_voice.items():
        notes.sort(key=lambda note: note.onset)
        by_staff: dict[str, list[_Sung]] = {}
        for note in notes:
            by_staff.setdefault(note.written.staff, []).append(note)
        groups = list(by_staff.values()) if len(by_staff) > 1 and _together(notes) else [notes]
        for group in groups:
            staff = min((note.written.staff for note in group), key=_rank)
            found.append(((*_rank(staff), *_rank(voice)), group))
    return [group for _, group in sorted(found, key=lambda entry: entry[0])]


def _rank(label: str) -> tuple[int, str]:
    return (int(label), "") if label.isascii() and label.isdecimal() else (0, label)


def _together(notes: list[_Sung]) -> bool:
    """Whether notes on different staves sound at one time."""
    ends: dict[str, Fraction] = {}
    for note in notes:
        staff = note.written.staff
        if any(end > note.onset for other, end in ends.items() if other != staff):
            return True
        ends[staff] = max(ends.get(staff, Fraction(0)), note.end)
    return False


def _divided(notes: list[_Sung], bars: Bars, where: str) -> list[list[_Sung]]:
    """One stream a chord note."""
    chords: dict[Fraction, list[_Sung]] = {}
    for note in notes:
        chords.setdefault(note.onset, []).append(note)
    size = max((len(chord) for chord in chords.values()), default=0)
    for onset, chord in chords.items():
        if len(chord) not in (1, size):
            raise ScoreError(
                f"a chord of {len(chord)} notes where others have {size}: heldline cannot tell who sings what",
                f"{where}, {bars.place(onset)}",
                "write each voice of the part on a voice or staff of its own",
            )
        chord.sort(key=lambda note: -note.written.pitch.midi)
    return [[chord[min(index, len(chord) - 1)] for chord in chords.values()] for index in range(size)]


def _notes(stream: list[_Sung], bars: Bars, where: str, path: str) -> tuple[Note, ...]:
    """Notes with ties joined."""
    found: list[Note] = []
    tied = False
    for sung in stream:
        written = sung.written
        if found and found[-1].end_quarters > sung.onset:
            raise ScoreError(
                f"two notes at once: {found[-1].pitch} still sounds when {written.pitch} begins",
                f"{where}, {bars.place(sung.onset)}",
                "write each on a voice of its own",
            )
        # files leave out one end of a tie, above all into a second ending, so either end is believed
        joins = (tied or written.tie_from_before) and bool(found) and found[-1].pitch == written.pitch
        if joins and found[-1].end_quarters == sung.onset:
            before = found.pop()
            found.append(
                Note(
                    before.onset_quarters,
                    sung.end - before.onset_quarters,
                    before.pitch,
                    lyric=before.lyric,
                    breath_after=written.breath,
                    origin=before.origin,
                )
            )
        else:
            origin = Origin(path)
            found.append(
                Note(
                    sung.onset, written.length, written.pitch, _lyric(sung), breath_after=written.breath, origin=origin
                )
            )
        tied = written.tie_on
    return tuple(found)


def _lyric(sung: _Sung) -> str:
    """The verse of this time through, else the first."""
    verses = dict(reversed(sung.written.lyrics))
    first = sung.written.lyrics[0][1] if sung.written.lyrics else ""
    return verses.get(str(sung.through), first)
