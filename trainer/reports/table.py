"""The beats of a take, drawn as music is: bars side by side, as many in a system as the width holds, one sign a beat."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trainer.practice.signs import Sign
from trainer.practice.take import BeatVerdict, NoteVerdict, Take
from trainer.reports.beat_signs import BEAT_SIGNS, letter
from trainer.reports.look import Look

BETWEEN = 2  # blank columns after a bar
APART = "   "  # between two signs of the legend
MOST_NOTES_NAMED = 2  # a bar with more notes is told by its beats alone; names would tear the systems apart


@dataclass(frozen=True, slots=True)
class Column:
    """One bar: its number, what is printed, notes written and their cents, and its beats."""

    bar: int
    printed: str
    written: str
    cents: str
    beats: tuple[Sign, ...]

    @property
    def width(self) -> int:
        """Letters of its widest row."""
        return max(len(str(self.bar)), len(self.printed), len(self.written), len(self.cents), len(self.beats))


def beat_table(take: Take, look: Look) -> list[str]:
    """Lines of the table, systems parted by an empty line."""
    columns = _columns(take)
    rows = [("bar", [str(column.bar) for column in columns])]
    if any(column.printed for column in columns):
        rows.append(("printed", [column.printed for column in columns]))
    if any(column.written for column in columns):
        rows.append(("written", [column.written for column in columns]))
    if any(set(column.cents) - set(". ") for column in columns):
        rows.append(("cents", [column.cents for column in columns]))
    label = max(len("beats"), *(len(name) for name, _ in rows)) + BETWEEN
    lines: list[str] = []
    for system in _systems([column.width + BETWEEN for column in columns], look.width - label):
        if lines:
            lines.append("")
        for name, cells in rows:
            told = "".join(f"{cells[index]:<{columns[index].width + BETWEEN}}" for index in system)
            lines.append(f"{name:<{label}}{told}".rstrip())
        drawn = "".join(_drawn(columns[index], look) for index in system)
        lines.append(f"{'beats':<{label}}{drawn}".rstrip())
    return lines


def legend(take: Take, look: Look) -> list[str]:
    """Lines that name every sign of the table with its word, in the order of precedence."""
    used = {beat.sign for beat in take.beats}
    lines, column = [""], 0
    for sign in (sign for sign in Sign if sign in used):
        drawn = letter(sign, look.letters)
        width = len(f"{drawn} {sign.value}")
        if column and column + len(APART) + width > look.width:
            lines.append("")
            column = 0
        gap = APART if column else ""
        lines[-1] += f"{gap}{look.paint(drawn, BEAT_SIGNS[sign].kind)} {sign.value}"
        column += len(gap) + width  # painted letters are longer than they look
    return lines


def _drawn(column: Column, look: Look) -> str:
    signs = "".join(look.paint(letter(sign, look.letters), BEAT_SIGNS[sign].kind) for sign in column.beats)
    return signs + " " * (column.width + BETWEEN - len(column.beats))


def _columns(take: Take) -> list[Column]:
    beats: dict[int, list[BeatVerdict]] = {}
    for beat in take.beats:
        beats.setdefault(beat.bar, []).append(beat)
    notes: dict[int, list[NoteVerdict]] = {bar: [] for bar in beats}
    for note in take.notes:
        if note.expected is not None:
            notes.setdefault(note.bar, []).append(note)
    named = max((len(found) for found in notes.values()), default=0) <= MOST_NOTES_NAMED
    columns = []
    for bar in sorted(set(beats) | set(notes)):
        here, found = beats.get(bar, []), notes.get(bar, [])
        printed = here[0].printed_bar if here else found[0].printed_bar
        columns.append(
            Column(
                bar,
                printed if printed != str(bar) else "",
                " ".join(note.expected or "" for note in found) if named else "",
                " ".join(_cents(note) for note in found) if named else "",
                tuple(beat.sign for beat in here),
            )
        )
    return columns


def _cents(note: NoteVerdict) -> str:
    """A figure only where the note sung is the note written: elsewhere it measures nothing."""
    if note.cents is None or note.sign in (Sign.OFF, Sign.PULLED, Sign.OCTAVE):
        return "."
    return f"{note.cents:+d}" if note.cents else "0"


def _systems(widths: Sequence[int], room: int) -> list[list[int]]:
    """Columns, cut into rows that fit *room*; at least one a row."""
    systems: list[list[int]] = []
    used = 0
    for index, width in enumerate(widths):
        if not systems or used + width > room:
            systems.append([])
            used = 0
        systems[-1].append(index)
        used += width
    return systems
