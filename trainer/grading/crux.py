"""The crux of a line: what is hard about it, the weightiest first, computed from the notes and never typed."""

from __future__ import annotations

import pkgutil
from collections.abc import Sequence
from functools import cache
from importlib import import_module

import trainer.grading.kinds
from trainer.grading.declare import Crux, CruxKind
from trainer.singable.part import Part

MOST_TOLD = 3
"""A singer keeps no more in mind before singing (our own)."""


@cache
def all_kinds() -> dict[str, CruxKind]:
    """Kinds by id, file by file. Raises ValueError when two files give the same id."""
    found: dict[str, CruxKind] = {}
    for module in pkgutil.iter_modules(trainer.grading.kinds.__path__, "trainer.grading.kinds."):
        for kind in import_module(module.name).KINDS:
            if kind.id in found:
                raise ValueError(f"{kind.id} is declared twice, the second time in {module.name}")
            found[kind.id] = kind
    return found


def cruxes(part: Part) -> tuple[Crux, ...]:
    """Everything to mind in a line, the weightiest first."""
    found = [crux for kind in all_kinds().values() for crux in kind.find(part)]
    return tuple(sorted(found, key=lambda crux: (-crux.weight, crux.kind)))


def crux_words(found: Sequence[Crux]) -> str:
    """The weightiest few in one line."""
    return "; ".join(crux.says for crux in found[:MOST_TOLD])
