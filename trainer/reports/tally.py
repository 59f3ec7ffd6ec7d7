"""The tally in words and as JSON: a row a kind of exercise, against the custom of fifteen to twenty of each."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import Any

from trainer.plan.tally import CUSTOM, OWN, Cell, ExerciseTally
from trainer.reports.look import Look
from trainer.reports.wording import count_words

SCHEMA = "heldline.tally/1"
HEADINGS = {OWN: "Your own exercises", "library": "Exercises of the library"}
CUSTOM_SAYS = (
    "so many exercises are customarily written of each species and number of parts; common practice, no source"
)
DONE_SAYS = "A line is sung or keyed: a whole take was clean, with all the others and without the guide."
COLUMNS = (("written", 8), ("correct", 9), ("sung", 6), ("keyed", 7), ("lines sung", 12), ("lines keyed", 12))
TABLE_COLUMNS = 80


def tally_as_text(cells: Sequence[Cell], look: Look, *, besides: Sequence[str] = ()) -> str:
    """A table each for own work and the library, modes as rows of their own."""
    lines: list[str] = []
    for origin, heading in HEADINGS.items():
        mine = [cell for cell in cells if cell.origin == origin]
        if not mine:
            continue
        lines += [*([""] if lines else []), look.paint(heading, "head")]
        if look.form == "plain" or look.width < TABLE_COLUMNS:
            lines += [line for cell in mine for line in textwrap.wrap(_said(cell), look.width, subsequent_indent="  ")]
        else:
            lines.append(
                f"{'species':<9}{'parts':<6}{'mode':<11}" + "".join(f"{name:>{wide}}" for name, wide in COLUMNS)
            )
            lines += [_row(cell) for cell in mine]
        by_voice = _by_voice(mine)
        if by_voice:
            lines += textwrap.wrap(f"Lines by voice: {by_voice}.", look.width)
        totals = _by_species(mine)
        if origin == OWN:
            told = [
                f"species {species} in {parts} parts: {count} written of the customary {CUSTOM[0]} to {CUSTOM[1]}"
                for (species, parts), count in totals.items()
                if species
            ]
            lines += textwrap.wrap("; ".join(told), look.width)
    if lines:
        lines += ["", *textwrap.wrap(DONE_SAYS, look.width)]
    else:
        lines = textwrap.wrap("No exercise is counted yet: sing or key one, or name a folder of your own.", look.width)
    for told_beside in besides:
        lines += ["", *textwrap.wrap(told_beside, look.width)]
    return "\n".join(lines)


def tally_to_json(cells: Sequence[Cell], exercises: Sequence[ExerciseTally]) -> dict[str, Any]:
    """Every kind, and every exercise with its lines."""
    return {
        "schema": SCHEMA,
        "custom": list(CUSTOM),
        "custom_says": CUSTOM_SAYS,
        "kinds": [
            {
                "origin": cell.origin,
                "species": cell.species or None,
                "parts": cell.parts,
                "mode": cell.mode or None,
                "written": cell.written,
                "correct": cell.correct,
                "sung": cell.sung,
                "keyed": cell.keyed,
                "lines": cell.lines,
                "lines_sung": cell.lines_sung,
                "lines_keyed": cell.lines_keyed,
                "voices": [{"voice": voice, "sung": sung, "keyed": keyed} for voice, sung, keyed in cell.voices],
            }
            for cell in cells
        ],
        "exercises": [
            {
                "title": one.written.music.title,
                "origin": one.written.origin,
                "species": one.written.music.species or None,
                "parts": one.written.music.parts,
                "mode": one.written.music.mode or None,
                "correct": {"yes": True, "no": False}.get(one.written.correct),
                "lines": [
                    {
                        "voice": line.voice,
                        "voice_number": line.line + 1,
                        "sung": line.sung == "clean",
                        "keyed": line.keyed == "clean",
                    }
                    for line in one.lines
                ],
            }
            for one in exercises
        ],
    }


def counted_late(count: int) -> str:
    """What is said of kept takes that no count knows yet; "" for none."""
    if not count:
        return ""
    return f"{count_words(count, 'take')} of an earlier version not counted; heldline takes again counts them."


def _row(cell: Cell) -> str:
    figures = (
        cell.written,
        "-" if cell.correct is None else cell.correct,
        cell.sung,
        cell.keyed,
        f"{cell.lines_sung} of {cell.lines}",
        f"{cell.lines_keyed} of {cell.lines}",
    )
    told = "".join(f"{figure:>{width}}" for figure, (_, width) in zip(figures, COLUMNS, strict=True))
    return f"{cell.species or 'none':<9}{cell.parts:<6}{cell.mode or 'not said':<11}{told}"


def _said(cell: Cell) -> str:
    """The row in words, for a reader of lines and where no table fits."""
    correct = "correctness not asked" if cell.correct is None else f"{cell.correct} correct"
    return (
        f"species {cell.species or 'not said'}, {cell.parts} parts, {cell.mode or 'mode not said'}: {cell.written} written, "
        f"{correct}, {cell.sung} sung, {cell.keyed} keyed; "
        f"lines: {cell.lines_sung} of {cell.lines} sung, {cell.lines_keyed} of {cell.lines} keyed"
    )


def _by_voice(cells: Sequence[Cell]) -> str:
    """As in "alto 3 sung, 1 keyed; tenor 2 sung"."""
    found: dict[str, list[int]] = {}
    for voice, sung, keyed in (row for cell in cells for row in cell.voices):
        counts = found.setdefault(voice, [0, 0])
        counts[0] += sung
        counts[1] += keyed
    told = (
        (voice, [f"{count} {word}" for count, word in zip(counts, ("sung", "keyed"), strict=True) if count])
        for voice, counts in found.items()
    )
    return "; ".join(f"{voice} {', '.join(words)}" for voice, words in told)


def _by_species(cells: Sequence[Cell]) -> dict[tuple[str, int], int]:
    totals: dict[tuple[str, int], int] = {}
    for cell in cells:
        totals[cell.species, cell.parts] = totals.get((cell.species, cell.parts), 0) + cell.written
    return totals
