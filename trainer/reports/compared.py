"""Two takes of one line side by side, bar by bar, in words and as JSON. Neither is called better: counts and places are told."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from trainer.practice.signs import COUNTED_AS_HELD, Sign
from trainer.practice.take import NoteVerdict, Take
from trainer.reports.look import Look
from trainer.reports.text import measured
from trainer.reports.wording import bar_words, bars_words, count_words, note_words, place_words

SCHEMA = "heldline.beside/1"


@dataclass(frozen=True, slots=True)
class Compared:
    """Two takes with their numbers; *places* maps the first one's bars to the second one's, where the music is the same."""

    first_number: int
    first: Take
    second_number: int
    second: Take
    places: Mapping[int, int]

    def bars(self) -> list[tuple[int, int, list[NoteVerdict], list[NoteVerdict]]]:
        """Bar in the first and in the second with the notes that begin there."""
        return [
            (old, new, _notes(self.first, old), _notes(self.second, new)) for old, new in sorted(self.places.items())
        ]


def compared_as_text(compared: Compared, look: Look) -> str:
    """How many were held in each, where only one was held, and what became of the bars that failed in both."""
    one, two = compared.first_number, compared.second_number
    told = [
        f"{compared.first.title}, {compared.first.voice}: take {one} beside take {two}",
        f"held {_held(compared.first)} in take {one}, {_held(compared.second)} in take {two}",
    ]
    gained, lost, both = [], [], []
    for old, new, first, second in compared.bars():
        if not first and not second:
            continue
        before, after = _faults(first), _faults(second)
        if before and not after:
            gained.append((old, before))
        elif after and not before:
            lost.append((new, after))
        elif before and after:
            both.append((before, after))
    if gained:
        told.append(f"held in take {two} only: {_listed(gained)}")
    if lost:
        told.append(f"held in take {one} only: {_listed(lost)}")
    for before, after in both:
        told.append(f"{bar_words(before[0])} in neither: {_words(before)}; then {_words(after)}")
    if not (gained or lost or both):
        told.append("every bar was held in both")
    changed = [note for note in compared.first.notes if note.bar not in compared.places]
    if changed:
        told.append(f"rewritten since, and not compared: {bars_words(changed)}")
    told.append(f"measured: {measured(compared.second)}")
    lines = [look.paint(line, "head") for line in textwrap.wrap(told[0], look.width, subsequent_indent="  ")]
    for sentence in told[1:]:
        lines += textwrap.wrap(
            f"{sentence[:1].upper()}{sentence[1:]}.", look.width, subsequent_indent="  ", break_on_hyphens=False
        )
    return "\n".join(lines)


def compared_to_json(compared: Compared) -> dict[str, Any]:
    """Every bar that both have."""
    return {
        "schema": SCHEMA,
        "title": compared.first.title,
        "voice": compared.first.voice,
        "takes": [compared.first_number, compared.second_number],
        "results": [compared.first.result(), compared.second.result()],
        "bars": [
            {"bar": old, "bar_of_second": new, "first": _signs(first), "second": _signs(second)}
            for old, new, first, second in compared.bars()
        ],
    }


def _notes(take: Take, bar: int) -> list[NoteVerdict]:
    return [note for note in take.notes if note.bar == bar]


def _faults(notes: list[NoteVerdict]) -> list[NoteVerdict]:
    return [note for note in notes if note.sign not in COUNTED_AS_HELD and note.sign is not Sign.UNSURE]


def _signs(notes: list[NoteVerdict]) -> list[str]:
    return [note.sign.value for note in notes]


def _held(take: Take) -> str:
    counts = take.result()
    return f"{counts['held']} of {count_words(counts['judged'], 'note')}"


def _listed(bars: list[tuple[int, list[NoteVerdict]]]) -> str:
    return "; ".join(f"{place_words(faults[0])} ({_words(faults)})" for _, faults in bars)


def _words(faults: list[NoteVerdict]) -> str:
    return ", ".join(note_words(note) for note in faults)
