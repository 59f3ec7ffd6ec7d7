"""How a kind of crux is declared: one file of ``trainer/grading/kinds`` holds a family of them as ``KINDS``.

A crux says in plain words what a singer has to mind in one line, with its bars. Its weight decides which of several is told first;
weights are our own, in the order in which leaders of sections name what goes wrong (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import NamedTuple

from trainer.singable.part import Part


class Crux(NamedTuple):
    """One thing to mind. ``times`` is how often it comes."""

    kind: str
    says: str
    weight: int
    times: int = 1


Find = Callable[[Part], Iterable[Crux]]


@dataclass(frozen=True, slots=True)
class CruxKind:
    """One kind of crux.

    Parameters
    ----------
    id : str
        Lower-case words with hyphens.
    asked : tuple of str
        Phrases by which a singer asks for it, lower case.
    find : callable
        A part to what it finds, one entry of this kind at most.
    """

    id: str
    asked: tuple[str, ...]
    find: Find
