"""Every rule there is, found by the names of the files in the families' folders."""

from __future__ import annotations

import pkgutil
from functools import cache
from importlib import import_module

import trainer.rules
from trainer.rules.declare import Rule


@cache
def all_rules() -> dict[str, Rule]:
    """Rules by id, family by family. Raises ValueError when two files give the same id."""
    found: dict[str, Rule] = {}
    for family in pkgutil.iter_modules(trainer.rules.__path__, "trainer.rules."):
        if not family.ispkg:
            continue
        for module in pkgutil.iter_modules(import_module(family.name).__path__, f"{family.name}."):
            for rule in getattr(import_module(module.name), "RULES", ()):
                if rule.id in found:
                    raise ValueError(f"{rule.id} is declared twice, the second time in {module.name}")
                found[rule.id] = rule
    return found
