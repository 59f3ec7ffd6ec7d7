"""Bars side by side in systems, as music has them: a row of numbers, of notes, of signs."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.live.state import State
from trainer.reports.look import Look
from trainer.score.naming import Names

BETWEEN = 2


def cells_of(state: State, found: Sequence[tuple[int, str]], names: Names) -> list[dict[str, str]]:
    """One cell a bar: its number, its notes (bar and what it is called), its beats so far, and how wide it is."""
    notes: dict[int, list[str]] = {}
    for bar, called in found:
        notes.setdefault(bar, []).append(called)
    cells = []
    for one in state.score.bars().bars:
        told = " ".join(notes.get(one.number, ["-"]))
        beats = -(-one.length_quarters // one.meter.beat_quarters)
        printed = one.printed if one.printed != str(one.number) else ""
        width = max(len(str(one.number)), len(printed), len(told), int(beats))
        cells.append({"bar": str(one.number), "printed": printed, names.row: told, "beats": "", "wide": str(width)})
    return cells


def rows_of(state: State, *own: str) -> tuple[str, ...]:
    """The rows of a system: the file's own bar numbers where it has others."""
    printed = ("printed",) if any(bar.printed != str(bar.number) for bar in state.score.bars().bars) else ()
    return ("bar", *printed, *own)


def systems_of(
    cells: Sequence[dict[str, str]],
    look: Look,
    *,
    rows: tuple[str, ...],
    around: int | None = None,
    room: int | None = None,
) -> list[str]:
    """Bars side by side, as many in a system as fit; where not all systems have room, those from the bar *around* on."""
    label = max(len(row) for row in rows) + BETWEEN
    systems: list[list[dict[str, str]]] = [[]]
    used = 0
    for cell in cells:
        wide = int(cell["wide"]) + BETWEEN
        if systems[-1] and used + wide > look.width - label:
            systems.append([])
            used = 0
        systems[-1].append(cell)
        used += wide
    if room is not None:
        fit = max(1, (room + 1) // (len(rows) + 1))
        here = next((k for k, one in enumerate(systems) if any(c["bar"] == str(around) for c in one)), 0)
        first = max(0, min(here - 1, len(systems) - fit))
        systems = systems[max(first, here - fit + 1) :][:fit]
    lines: list[str] = []
    for system in systems:
        if lines:
            lines.append("")
        for row in rows:
            told = "".join(cell[row] + " " * (int(cell["wide"]) + BETWEEN - _seen(cell[row])) for cell in system)
            lines.append(f"{row:<{label}}{told}".rstrip())
    return lines


def _seen(text: str) -> int:
    """Columns of a text whose colour codes take none."""
    length, inside = 0, False
    for char in text:
        if char == "\x1b":
            inside = True
        elif inside:
            inside = char != "m"
        else:
            length += 1
    return length
