"""The weights that were fitted to the takes kept here, in one small JSON file. Reading never fails: what is not there is paper."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Any

from trainer.log.small_table import read_table, write_table
from trainer.singable.weights import GRAIN, LEAST, MOST, PAPER, Weights


def read_weights(path: Path) -> Weights:
    """What the file says; paper for a file that is missing, damaged or of another kind."""
    table = read_table(path)
    takes, failed = table.get("takes"), table.get("failed_bars")
    if not (isinstance(takes, int) and isinstance(failed, int) and takes > 0):
        return PAPER
    return Weights(_read(table.get("difficulties")), _read(table.get("dangers")), takes, failed)


def write_weights(path: Path, weights: Weights) -> None:
    """Keep *weights* in place of those kept before. Raises LogError."""
    table = {
        "takes": weights.takes,
        "failed_bars": weights.failed_bars,
        "difficulties": _told(weights.difficulties),
        "dangers": _told(weights.dangers),
    }
    write_table(path, table, "the weights cannot be kept")


def _read(told: Any) -> tuple[tuple[str, Fraction], ...]:
    if not isinstance(told, dict):
        return ()
    whole = {kind: weight for kind, weight in told.items() if type(weight) is int}
    return tuple((kind, min(max(Fraction(weight, GRAIN), LEAST), MOST)) for kind, weight in sorted(whole.items()))


def _told(weights: tuple[tuple[str, Fraction], ...]) -> dict[str, int]:
    return {kind: round(weight * GRAIN) for kind, weight in weights}
