"""Written notes as lines: voices told apart, chords divided, ties joined.

A voice with chords is as many lines as its chords have notes, the top note to the first; a single note among them is sung by all.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.errors import ScoreError
from trainer.formats import refuse_many_lines
from trainer.formats._written import Document, Ticks, Written, in_quarters, in_ticks
from trainer.score.model import Line, Note, Origin
from trainer.score.time import Bars


@dataclass(slots=True)
class _Sung:
    """A written note from one absolute place to another, in ticks, and which time through it is sung."""

    onset: Ticks
    end: Ticks
    written: Written
    through: int


def lines_of(
    document: Document, order: list[tuple[int, int]], onsets: tuple[Fraction, ...], *, bars: Bars, path: str
) -> tuple[Line, ...]:
    """Every voice that sings, top part first. Raises ScoreError."""
    starts = [in_ticks(onset) for onset in onsets]
    parts: list[tuple[str, list[list[_Sung]]]] = []
    for part, name in enumerate(document.part_names):
        sung = []
        for (index, through), start in zip(order, starts, strict=True):
            notes = document.measures[index].notes
            for written in notes[part] if part < len(notes) else ():
                onset = start + written.at
                sung.append(_Sung(onset, onset + written.length, written, through))
        where = f"{path}, part {name or part + 1}"
        streams = [stream for voice in _voices(sung) for stream in _divided(voice, bars, where)]
        unnamed = f"part {part + 1}" if len(document.part_names) > 1 or len(streams) == 1 else "voice"
        parts.append((name or unnamed, streams))
    refuse_many_lines(sum(len(streams) for _, streams in parts), path)
    lines: list[Line] = []
    for name, streams in parts:
        for number, stream in enumerate(streams, start=1):
            wanted = name if len(streams) == 1 else f"{name} {number}"
            called = wanted if wanted.startswith("part ") else f"part {wanted}"
            lines.append(Line(_unused(wanted, lines), _notes(stream, bars, f"{path}, {called}", path)))
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
    ends: dict[str, Ticks] = {}
    for note in notes:
        staff = note.written.staff
        if any(end > note.onset for other, end in ends.items() if other != staff):
            return True
        ends[staff] = max(ends.get(staff, 0), note.end)
    return False


def _divided(notes: list[_Sung], bars: Bars, where: str) -> list[list[_Sung]]:
    """One stream a chord note."""
    chords: dict[Ticks, list[_Sung]] = {}
    for note in notes:
        chords.setdefault(note.onset, []).append(note)
    size = max((len(chord) for chord in chords.values()), default=0)
    if size == 1:
        return [notes]
    for onset, chord in chords.items():
        if len(chord) not in (1, size):
            raise ScoreError(
                f"a chord of {len(chord)} notes where others have {size}: heldline cannot tell who sings what",
                _place(where, bars, chord[0], onset),
                "write each voice of the part on a voice or staff of its own",
            )
        chord.sort(key=lambda note: -note.written.pitch.midi)
    return [[chord[min(index, len(chord) - 1)] for chord in chords.values()] for index in range(size)]


def _place(where: str, bars: Bars, sung: _Sung, onset: Ticks) -> str:
    line = f", line {sung.written.line}" if sung.written.line else ""
    return f"{where}{line}, {bars.place(in_quarters(onset))}"


def _notes(stream: list[_Sung], bars: Bars, where: str, path: str) -> tuple[Note, ...]:
    """Notes with ties joined."""
    joined: list[_Sung] = []
    breaths: list[bool] = []
    tied = False
    for sung in stream:
        written = sung.written
        if joined and joined[-1].end > sung.onset:
            raise ScoreError(
                f"two notes at once: {joined[-1].written.pitch} still sounds when {written.pitch} begins",
                _place(where, bars, sung, sung.onset),
                "write each on a voice of its own",
            )
        # files leave out one end of a tie, above all into a second ending, so either end is believed
        if (
            (tied or written.tie_from_before)
            and joined
            and joined[-1].end == sung.onset
            and joined[-1].written.pitch == written.pitch
        ):
            before = joined[-1]
            joined[-1] = _Sung(before.onset, sung.end, before.written, before.through)
            breaths[-1] = written.breath
        else:
            joined.append(sung)
            breaths.append(written.breath)
        tied = written.tie_on
    return tuple(
        Note(
            in_quarters(sung.onset),
            in_quarters(sung.end - sung.onset),
            sung.written.pitch,
            _lyric(sung),
            breath,
            Origin(path, sung.written.line),
        )
        for sung, breath in zip(joined, breaths, strict=True)
    )


def _lyric(sung: _Sung) -> str:
    """The verse of this time through, else the first."""
    lyrics = sung.written.lyrics
    if not lyrics:
        return ""
    return dict(reversed(lyrics)).get(str(sung.through), lyrics[0][1])
