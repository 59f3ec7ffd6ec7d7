"""The library's list and one exercise, for programs and for people."""

from __future__ import annotations

import contextlib
import textwrap
from collections.abc import Sequence
from typing import Any

from trainer.formats.drill import bar_words
from trainer.library import Exercise
from trainer.score.model import Note, Score
from trainer.score.moved import key_words
from trainer.score.naming import WITH_OCTAVES, Names, called, counted_from, lettered
from trainer.score.pitch import Pitch

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
                "lowest": one.lowest or None,
                "highest": one.highest or None,
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
                f"{one.lowest} to {one.highest}" if one.compass else "",
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
                    **({"printed_bar": place.printed_bar} if place.printed_bar != str(place.bar) else {}),
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


def score_as_text(score: Score, names: Names, *, width: int = 80) -> str:
    """Its facts, then the voices one above the other, as many bars in a system as the width holds.

    A bar's words share it evenly, as in drill text: ``-`` holds the note on, ``.`` rests, a comma puts two into one share.
    """
    bars = score.bars()
    head = [score.title, f"{score.meters[0][1]}, {float(score.tempo.points[0][1]):g} quarters a minute"]
    head += [f"{name}: {_fact(score, name, value, names)}" for name, value in score.facts if value]
    voices = score.voice_names()
    in_order, printed = [str(bar.number) for bar in bars.bars], [bar.printed for bar in bars.bars]
    labels, cells = (["bar", "printed"], [in_order, printed]) if printed != in_order else (["bar"], [in_order])
    cells += [bar_words(line, bars.bars, _Called(score, names).word) for line in score.lines]
    labels += voices
    label = max(map(len, labels)) + 2
    widths = [max(len(row[column]) for row in cells) + 2 for column in range(len(bars.bars))]
    lines = []
    for system in _systems(widths, width - label):
        lines.append("")
        for name, row in zip(labels, cells, strict=True):
            told = "".join(f"{row[column]:<{widths[column]}}" for column in system)
            lines.append(f"{name:<{label}}{told}".rstrip())
    foot = ["The words of a bar share it evenly; - holds on, . is a rest, ' a breath."]
    if names.kind not in WITH_OCTAVES:
        begin = ", ".join(str(line.notes[0].pitch) for line in score.lines if line.notes)
        counted = counted_from(score, names)
        foot += [
            f"{f'{counted}; the' if counted else 'The'} voices begin on {begin}, from the top.",
            "Each is the nearest to the one before it; ^ is the one above, _ the one below.",
        ]
    above = [part for line in head for part in textwrap.wrap(line, width, subsequent_indent="  ")]
    below = [part for line in foot for part in textwrap.wrap(line, width)]
    return "\n".join([*above, *lines, "", *below])


def _fact(score: Score, name: str, value: str, names: Names) -> str:
    """What the file says, its letters as *names* have them."""
    if name == "mode":
        return key_words(score, names) if " " in value else value
    if name == "compass":
        with contextlib.suppress(ValueError):
            return " ".join(lettered(Pitch.parse(word), names) for word in value.split())
    return score.bars().beside(value) if name == "crux" else value


class _Called:
    """Names the notes of one voice in order. A degree or syllable has no octave, so a way that is not the shortest is signed."""

    def __init__(self, score: Score, names: Names) -> None:
        self._score, self._names = score, names
        self._before: int | None = None

    def word(self, note: Note) -> str:
        before, self._before = self._before, note.pitch.diatonic
        way = 0 if before is None or self._names.kind in WITH_OCTAVES else note.pitch.diatonic - before
        return f"{'^' if way > 3 else '_' if way < -3 else ''}{called(self._score, note.pitch, self._names)}"


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
