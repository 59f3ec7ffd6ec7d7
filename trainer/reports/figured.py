"""A score with its dissonances named and its chords figured, as teachers mark it: a column a moment, a row a voice, figures below."""

from __future__ import annotations

import textwrap
from typing import Any

from trainer.reports.wording import beat_words, place_words
from trainer.rules.chord import figures
from trainer.rules.marking import CHORD_TONE, marks
from trainer.rules.piece import Piece
from trainer.rules.texture import Slice

MARKS = {
    "passing": "p",
    "neighbour": "n",
    "cambiata": "c",
    "double neighbour": "dn",
    "anticipation": "a",
    "suspension": "s",
    "restruck": "s",
    "pedal": "ped",
}
"""Short signs of the shapes; any other dissonance is marked with a question mark."""

LEGEND = "p passing, n neighbour, c cambiata, dn double neighbour, a anticipation, s suspension, ped pedal, ? a dissonance that is none"
MARK_WORDS = "(- holds, . rests; figures over the lowest voice; {legend})"


def figured(piece: Piece, *, width: int = 80) -> tuple[str, ...]:
    """The whole score in systems that fit *width*."""
    texture = piece.texture
    marks: dict[tuple[int, int], str] = {}
    for one in piece.dissonances:
        marks[one.tone.voice, one.at] = MARKS.get(one.shape, "?")
    columns = [_column(piece, now, marks) for now in texture.slices if now.bass is not None]
    names = ("bar", *texture.names, "figures")
    label = max(len(name) for name in names) + 2
    lines: list[str] = []
    room = width - label
    while columns:
        used, count = 0, 0
        while count < len(columns) and (count == 0 or used + _wide(columns[count]) <= room):
            used += _wide(columns[count])
            count += 1
        for row, name in enumerate(names):
            cells = "".join(f"{column[row]:<{_wide(column)}}" for column in columns[:count])
            lines.append(f"{name:<{label}}{cells}".rstrip())
        lines.append("")
        columns = columns[count:]
    return (*lines, *textwrap.wrap(MARK_WORDS.format(legend=LEGEND), width), "", *_named(piece))


def _named(piece: Piece) -> list[str]:
    """A line for every note that is more than a chord tone."""
    lines = []
    for one in marks(piece):
        told = [word for word in (one.kind, one.tendency) if word and word != CHORD_TONE]
        if told:
            place = piece.texture.place(one.at)
            over = f" ({one.over_lowest})" if one.over_lowest else ""
            voice = piece.texture.names[one.tone.voice]
            lines.append(f"{place_words(place)}, {voice} {one.tone.name}{over}: {'; '.join(told)}")
    return lines


def notes_to_json(piece: Piece) -> tuple[dict[str, Any], ...]:
    """Every note with its kind, for programs."""
    found = []
    for one in marks(piece):
        place = piece.texture.place(one.at)
        found.append(
            {
                "bar": place.bar,
                "beat": float(place.beat),
                "voice": str(one.tone.voice + 1),
                "note": one.tone.name,
                "kind": one.kind,
                "over_lowest": one.over_lowest or None,
                "against": {str(voice + 1): interval for voice, interval in one.against},
                "tendency": one.tendency or None,
            }
        )
    return tuple(found)


def _wide(column: list[str]) -> int:
    return max(len(cell) for cell in column) + 1


def _column(piece: Piece, now: Slice, marks: dict[tuple[int, int], str]) -> list[str]:
    texture = piece.texture
    place = texture.place(now.on)
    cells = [f"{place.bar}" if place.beat == 1 else f".{beat_words(place.beat)}"]
    for voice, tone in enumerate(now.tones):
        name = "." if tone is None else tone.name if tone.on == now.on else "-"
        mark = marks.get((voice, now.on), "")
        cells.append(f"{name}({mark})" if mark else name)
    cells.append(figures(now.sounding, now.bass) if now.bass is not None and len(now.sounding) > 1 else "")
    return cells
