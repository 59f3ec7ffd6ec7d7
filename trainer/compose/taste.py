"""The shipped table of costs: small whole numbers that say what is good music and what is less so."""

from __future__ import annotations

from functools import cache
from importlib import resources


@cache
def taste() -> dict[str, int]:
    """Cost by name, as ``taste.table`` has it."""
    text = resources.files("trainer.compose").joinpath("taste.table").read_text(encoding="utf-8")
    rows = (line.partition(";")[0].split() for line in text.splitlines() if not line.startswith("#"))
    return {row[0]: int(row[1]) for row in rows if row}
