"""Every kind of difficulty there is, found by the names of the files in ``kinds``."""

from __future__ import annotations

import pkgutil
from functools import cache
from importlib import import_module

import trainer.singable.kinds
from trainer.singable.declare import Kind


@cache
def all_kinds() -> dict[str, Kind]:
    """Kinds by id, file by file. Raises ValueError when two files give the same id."""
    found: dict[str, Kind] = {}
    for module in pkgutil.iter_modules(trainer.singable.kinds.__path__, "trainer.singable.kinds."):
        for kind in import_module(module.name).KINDS:
            if kind.id in found:
                raise ValueError(f"{kind.id} is declared twice, the second time in {module.name}")
            found[kind.id] = kind
    return found
