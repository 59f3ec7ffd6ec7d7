"""Music up to some moment, and a voice placed at the moment after it."""

from __future__ import annotations

from typing import NamedTuple

from trainer.compose.choices import ORNAMENT, Act
from trainer.compose.line import Head


class State(NamedTuple):
    """Music up to some moment: its price, its lines, and for each pair how many thirds or sixths it has had running."""

    price: int
    heads: tuple[Head, ...]
    running: tuple[int, ...]


class Put(NamedTuple):
    """A voice placed at this moment: what sounds, what is meant, and whether it is struck now."""

    voice: int
    sounding: int
    meant: int
    act: Act
    struck: bool

    @property
    def is_ornament(self) -> bool:
        """Whether it is a note between a suspension and its resolution."""
        return self.act is not None and self.act[0] == ORNAMENT


class Moment(NamedTuple):
    """Where the search stands: a bar, an eighth of it, and the lowest voice that sounds there."""

    bar: int
    slot: int
    low: int
