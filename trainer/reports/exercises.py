"""The library's list and one exercise, for programs and for people."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import Any

from trainer.library import Exercise
from trainer.score.model import Score

LIST_SCHEMA = "heldline.library/1"
SCORE_SCHEMA = "heldline.score/1"


def list_to_json(listed: Sequence[Exercise]) -> dict[str, Any]:
    """Every shipped exercise."""
    return {
        "schema": LIST_SCHEMA,
        "exercises": [
            {
                "number": one.number,
                "title": one.title,
                "parts": one.parts,
                "species": one.species,
                "mode": one.mode,
                "cantus": one.cantus,
                "sing": one.sing,
                "level": one.level,
                "crux": one.crux,
            }
            for one in listed
        ],
    }


def list_as_text(listed: Sequence[Exercise], *, width: int = 80) -> str:
    """One exercise in two lines: number, title and facts; then what is hard about it."""
    lines = []
    for one in listed:
        facts = ", ".join(
            fact
            for fact in (
                f"{one.parts} parts",
                f"species {one.species}" if one.species.isdecimal() else one.species,
                one.mode,
                f"sing {one.sing}" if one.sing else "",
                f"level {one.level}" if one.level else "",
            )
            if fact
        )
        lines.append(f"{one.number:>3}  {one.title}")
        lines += textwrap.wrap(facts, width, initial_indent="     ", subsequent_indent="     ")
        lines += textwrap.wrap(one.crux, width, initial_indent="     ", subsequent_indent="     ")
    return "\n".join(lines)


def score_to_json(score: Score) -> dict[str, Any]:
    """What a score says of itself and every note of every voice."""
    bars = score.bars()
    voices = []
    for number, (name, line) in enumerate(zip(score.voice_names(), score.lines, strict=True), start=1):
        notes = []
        for note in line.notes:
            place = bars.place(note.onset_quarters)
            beats = note.length_quarters / bars.at(note.onset_quarters).meter.beat_quarters
            notes.append(
                {
                    "bar": place.bar,
                    "beat": float(place.beat),
                    "length_beats": float(beats),
                    "pitch": str(note.pitch),
                }
            )
        voices.append({"voice": name, "voice_number": number, "part": line.name, "notes": notes})
    return {
        "schema": SCORE_SCHEMA,
        "title": score.title,
        "parts": len(score.lines),
        "meter": str(score.meters[0][1]),
        "tempo_qpm": float(score.tempo.points[0][1]),
        "bars": len(bars.bars),
        "facts": dict(score.facts),
        "voices": voices,
    }


def score_as_text(score: Score, *, width: int = 80) -> str:
    """Its facts, then the voices one above the other, as many bars in a system as the width holds."""
    bars = score.bars()
    head = [score.title, f"{score.meters[0][1]}, {float(score.tempo.points[0][1]):g} quarters a minute"]
    head += [f"{name}: {value}" for name, value in score.facts if value]
    names = score.voice_names()
    label = max(len(name) for name in (*names, "bar")) + 2
    cells = [[str(bar.number) for bar in bars.bars]]
    for line in score.lines:
        by_bar: dict[int, list[str]] = {bar.number: [] for bar in bars.bars}
        for note in line.notes:
            by_bar[bars.at(note.onset_quarters).number].append(str(note.pitch))
        cells.append([" ".join(found) or "-" for found in by_bar.values()])
    widths = [max(len(row[column]) for row in cells) + 2 for column in range(len(bars.bars))]
    lines = []
    for system in _systems(widths, width - label):
        lines.append("")
        for name, row in zip(("bar", *names), cells, strict=True):
            told = "".join(f"{row[column]:<{widths[column]}}" for column in system)
            lines.append(f"{name:<{label}}{told}".rstrip())
    return "\n".join([*head, *lines, "", "(- stands for a bar in which the voice begins no note)"])


def _systems(widths: Sequence[int], room: int) -> list[list[int]]:
    """Columns, cut into rows that fit *room*; at least one a row."""
    systems: list[list[int]] = []
    used = 0
    for column, width in enumerate(widths):
        if not systems or used + width > room:
            systems.append([])
            used = 0
        systems[-1].append(column)
        used += width
    return systems
