"""Small whole exercises with one fault planted in each, and how they are written down.

The notation is for people. A bar line is ``|``, a word is a pitch with its value (``w`` whole, ``h`` half, ``q`` quarter, ``e`` eighth,
``.`` a dot), ``r`` rests, ``~`` ties to the next note::

    == parallel-fifth/strict16/1
    rules: strict16
    mode: D dorian
    species: 1 cantus
    fault: parallel-fifth
    place: 3 1 - 4 1
    voices: 1 2
    recipe: two voices a fifth apart both rise a step
    source: Fux 1725
    1 | A4w | ...
    2 | D4w | ...
    twin
    1 | ...

*place* is bar and quarter of the first and of the last moment of the fault. The twin differs by the least that makes it lawful.
A lawful ornament has ``shows:`` in place of ``fault:`` and no twin. ``names:`` gives the voices trade names, so that their compass is
judged; without it they are only numbered.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

from second_checker import Piece

QUARTERS = {"w": Fraction(4), "h": Fraction(2), "q": Fraction(1), "e": Fraction(1, 2)}
WORD = re.compile(r"(r|[A-G][#b]?\d)([whqe])(\.?)(~?)\Z")
LETTERS = "CDEFGAB"
NATURAL = (0, 2, 4, 5, 7, 9, 11)
MODES = {
    "ionian": (0, 2, 4, 5, 7, 9, 11),
    "dorian": (0, 2, 3, 5, 7, 9, 10),
    "phrygian": (0, 1, 3, 5, 7, 8, 10),
    "lydian": (0, 2, 4, 6, 7, 9, 11),
    "mixolydian": (0, 2, 4, 5, 7, 9, 10),
    "aeolian": (0, 2, 3, 5, 7, 8, 10),
    "minor": (0, 2, 3, 5, 7, 8, 10),
    "major": (0, 2, 4, 5, 7, 9, 11),
}

PlainNote = tuple[Fraction, Fraction, str]
Lines = tuple[str, ...]


def plain(line: str) -> tuple[PlainNote, ...]:
    """Onset and length in quarters, and name, of each note of a written line, ties merged."""
    notes: list[PlainNote] = []
    at, tied = Fraction(0), False
    for word in line.replace("|", " ").split():
        match = WORD.match(word)
        if match is None:
            raise ValueError(f"{word!r} is not a word of this notation")
        name, value, dot, tie = match.groups()
        length = QUARTERS[value] * (Fraction(3, 2) if dot else 1)
        if tied:
            onset, before, same = notes[-1]
            if same != name:
                raise ValueError(f"{same} is tied to {name}")
            notes[-1] = (onset, before + length, name)
        elif name != "r":
            notes.append((at, length, name))
        tied = bool(tie)
        at += length
    return tuple(notes)


def scale(mode: str) -> tuple[int, ...]:
    """How each letter C to B is altered in a mode such as ``G dorian``."""
    final, word = mode.split()
    first = LETTERS.index(final[0])
    start = NATURAL[first] + final.count("#") - final.count("b")
    alterations = [0] * 7
    for degree, semitones in enumerate(MODES[word]):
        letter = (first + degree) % 7
        alterations[letter] = (start + semitones - NATURAL[letter] + 6) % 12 - 6
    return tuple(alterations)


@dataclass(frozen=True, slots=True)
class Vector:
    """One exercise: a planted fault with its lawful twin, or (without a rule) a lawful ornament."""

    name: str
    rules: str
    mode: str
    species: tuple[str, ...]
    lines: Lines
    rule: str = ""
    place: tuple[int, Fraction, int, Fraction] = (0, Fraction(0), 0, Fraction(0))
    voices: tuple[int, ...] = ()
    twin: Lines = ()
    shows: str = ""
    recipe: str = ""
    source: str = ""
    trade_names: tuple[str, ...] = ()

    @property
    def parts(self) -> int:
        return len(self.lines)

    def piece(self, lines: Lines, *, rules: str = "") -> Piece:
        """For the second checker."""
        final, word = self.mode.split()
        voices = tuple(plain(line) for line in lines)
        return Piece(
            voices,
            self.species,
            rules or self.rules,
            final,
            scale=scale(self.mode),
            minor=word == "minor",
            names=self.trade_names,
        )

    def score(self, lines: Lines) -> Any:
        """For the program: a Score whose facts say mode, species and cantus, one word a voice."""
        from trainer.score.model import Line, Note, Score
        from trainer.score.pitch import Pitch

        names = self.trade_names or tuple(str(number) for number in range(1, self.parts + 1))
        made = tuple(
            Line(name, tuple(Note(at, long, Pitch.parse(pitch)) for at, long, pitch in plain(line)))
            for name, line in zip(names, lines, strict=True)
        )
        cantus = str(self.species.index("cantus") + 1) if "cantus" in self.species else ""
        facts = (("mode", self.mode), ("species", " ".join(self.species)), ("cantus", cantus))
        return Score(self.name, made, facts=facts)


def read(path: Path) -> Iterator[Vector]:
    """Every vector of a file."""
    for block in f"\n{path.read_text(encoding='utf-8')}".split("\n== ")[1:]:
        yield parse(block)


def parse(block: str) -> Vector:
    head, *rest = block.strip().splitlines()
    facts: dict[str, str] = {}
    sides: list[list[str]] = [[]]
    for row in rest:
        if row == "twin":
            sides.append([])
        elif re.match(r"\d \|", row):
            sides[-1].append(row[3:].strip())
        elif row.strip():
            key, _, value = row.partition(":")
            facts[key] = value.strip()
    bar, beat, to_bar, to_beat = (Fraction(w) for w in facts.get("place", "0 0 - 0 0").replace("-", " ").split())
    return Vector(
        name=head.strip(),
        rules=facts["rules"],
        mode=facts["mode"],
        species=tuple(facts["species"].split()),
        lines=tuple(sides[0]),
        rule=facts.get("fault", ""),
        place=(int(bar), beat, int(to_bar), to_beat),
        voices=tuple(int(word) for word in facts.get("voices", "").split()),
        twin=tuple(sides[1]) if len(sides) > 1 else (),
        shows=facts.get("shows", ""),
        recipe=facts.get("recipe", ""),
        source=facts.get("source", ""),
        trade_names=tuple(facts.get("names", "").split()),
    )


def written(vector: Vector) -> str:
    """A vector as it stands in its file."""
    rows = [
        f"== {vector.name}",
        f"rules: {vector.rules}",
        f"mode: {vector.mode}",
        f"species: {' '.join(vector.species)}",
    ]
    if vector.trade_names:
        rows.append(f"names: {' '.join(vector.trade_names)}")
    if vector.rule:
        bar, beat, to_bar, to_beat = vector.place
        rows += [f"fault: {vector.rule}", f"place: {bar} {beat} - {to_bar} {to_beat}"]
        rows.append(f"voices: {' '.join(map(str, vector.voices))}")
    else:
        rows.append(f"shows: {vector.shows}")
    rows += [f"recipe: {vector.recipe}", f"source: {vector.source}"]
    rows += stave(vector.lines)
    if vector.twin:
        rows += ["twin", *stave(vector.twin)]
    return "\n".join(rows) + "\n"


def stave(lines: Lines) -> list[str]:
    """Lines with their bar lines under each other."""
    grid = [[bar.strip() for bar in line.split("|")] for line in lines]
    widths = [max(len(row[k]) for row in grid) for k in range(len(grid[0]))]
    rows = (" | ".join(bar.ljust(width) for bar, width in zip(row, widths, strict=True)).rstrip() for row in grid)
    return [f"{number} | {row}" for number, row in enumerate(rows, start=1)]


def whole_species(word: str) -> bool:
    return word in {"1", "cantus"}
