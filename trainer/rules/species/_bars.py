"""A florid line bar by bar, in eighths of the bar's grid."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

from trainer.rules.piece import Piece
from trainer.rules.texture import BarTicks, Tone


class FloridBar(NamedTuple):
    """One bar of a line: the tones struck in it with their places in half grids from 0, and whether a tone is tied into it."""

    bar: BarTicks
    struck: tuple[tuple[int, Tone], ...]
    tied_in: bool

    @property
    def pattern(self) -> tuple[int, ...]:
        """Where it has attacks; -1 first where a tone is tied into it."""
        return ((-1,) if self.tied_in else ()) + tuple(place for place, _ in self.struck)

    def at(self, place: int) -> Tone | None:
        """The tone struck on a place."""
        return next((tone for here, tone in self.struck if here == place), None)


@lru_cache(maxsize=4)
def florid_lines(piece: Piece) -> tuple[tuple[int, tuple[FloridBar, ...]], ...]:
    """Every voice of the fifth species, as bars without the last one."""
    return tuple((voice, tuple(_bars(piece, voice))) for voice, kind in enumerate(piece.species) if kind == "5")


def _bars(piece: Piece, voice: int) -> Iterator[FloridBar]:
    for bar in piece.texture.bars[:-1]:
        inside = piece.texture.between(voice, bar.on, bar.end)
        struck = tuple((2 * (tone.on - bar.on) // bar.grid, tone) for tone in inside if tone.on >= bar.on)
        yield FloridBar(bar, struck, bool(inside) and inside[0].on < bar.on)
