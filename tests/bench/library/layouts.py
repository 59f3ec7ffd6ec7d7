"""Which exercises the library has: layouts laid out so that every two properties that can meet do meet, each species evenly.

The choice is greedy and seeded: the layout that brings most pairs not yet met, then the one whose parts were used least.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import combinations, product

from trainer.compose.wish import MODES
from trainer.score.model import VOICES_BY_PARTS

SPECIES = ("1", "2", "3", "4", "5", "combined")
A_CELL = 15
"""Exercises of one species in one number of parts: fifteen to twenty is what teachers ask for (common practice, no source)."""

FULLEST_MOVERS = ("2", "3", "4")


@dataclass(frozen=True, slots=True)
class Layout:
    """One exercise before a note of it is known. ``line`` is the voice that moves (one of them in combined species)."""

    species: str
    parts: int
    mode: str
    cantus: str
    sing: str
    line: str

    @property
    def pairs(self) -> set[frozenset[tuple[str, str | int]]]:
        """Every two of its properties."""
        named: list[tuple[str, str | int]] = [
            ("species", self.species),
            ("parts", self.parts),
            ("mode", self.mode),
            ("cantus", self.cantus),
            ("sing", self.sing),
        ]
        return {frozenset(pair) for pair in combinations(named, 2)}


def possible() -> list[Layout]:
    """Every layout that there can be. Combined species needs two voices beside the cantus."""
    found = []
    for parts, species in product(VOICES_BY_PARTS, SPECIES):
        if parts == 2 and species == "combined":
            continue
        voices = VOICES_BY_PARTS[parts]
        for mode, cantus, line, sing in product(MODES, voices, voices, voices):
            if line != cantus:
                found.append(Layout(species, parts, mode, cantus, sing, line))
    return found


def chosen(there: Iterable[Layout], seed: int) -> list[Layout]:
    """Layouts to add to those that are *there*, species by species and part by part, A_CELL to a cell."""
    rng = random.Random(seed)
    there = list(there)
    met = {pair for one in there for pair in one.pairs}
    found: list[Layout] = []
    every = possible()
    for parts, species in sorted({(one.parts, one.species) for one in every}):
        cell = [one for one in every if (one.parts, one.species) == (parts, species)]
        used: Counter[tuple[str, str]] = Counter()
        for one in there:
            if (one.parts, one.species) == (parts, species):
                used.update(_marks(one))
        for _ in range(A_CELL):
            best = max(
                cell,
                key=lambda one: (len(one.pairs - met), -sum(used[mark] for mark in _marks(one)), rng.random()),
            )
            found.append(best)
            met |= best.pairs
            used.update(_marks(best))
    return found


def _marks(one: Layout) -> list[tuple[str, str]]:
    """What is to be used evenly within a cell; the moving voice is sung more often than the others."""
    if one.sing == one.line:
        role = ["moving"]
    elif one.sing == one.cantus:
        role = ["cantus"] * 5
    else:
        role = ["whole"] * 4
    marks = [("mode", one.mode), ("cantus", one.cantus), ("sing", one.sing), ("both", f"{one.cantus} {one.sing}")]
    return marks + [("mode and sing", f"{one.mode} {one.sing}")] + [("role", word) for word in role]
