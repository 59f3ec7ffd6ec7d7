"""Cuts a length into note values that notation has: plain, dotted or double-dotted, in a tuplet where it must be."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.formats._xml_note import TYPE_QUARTERS

MOST_DOTS = 2
_TYPES = {quarters: name for name, quarters in TYPE_QUARTERS.items() if quarters <= 8}
_DOTTED = {
    quarters * (2 - Fraction(1, 2**dots)): (name, dots)
    for quarters, name in _TYPES.items()
    for dots in range(MOST_DOTS + 1)
}


@dataclass(frozen=True, slots=True)
class Value:
    """One written value: its length in quarters, its type's name, dots, and the tuplet (actual, normal), (1, 1) for none."""

    quarters: Fraction
    name: str
    dots: int
    tuplet: tuple[int, int]


def written_values(length: Fraction) -> list[Value]:
    """Values that add up to *length*, longest first. Raises ValueError when none do."""
    actual = length.denominator
    while actual % 2 == 0:
        actual //= 2
    normal = 1
    while normal * 2 <= actual:
        normal *= 2
    rest = length * actual / normal
    found = []
    while rest > 0:
        part = max((value for value in _DOTTED if value <= rest), default=None)
        if part is None:
            raise ValueError(f"no note value is as short as {rest} quarters")
        name, dots = _DOTTED[part]
        found.append(Value(part * normal / actual, name, dots, (actual, normal)))
        rest -= part
    return found
