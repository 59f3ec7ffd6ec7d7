"""A performance as text and back, exactly, so that looking at a take again need not judge it again.

Every record is its kind's number with its values in order. What was written by other records cannot be read and need not be: it is
used only where the very code that judged it is still there (``trainer.takes.recalled``).
"""

from __future__ import annotations

import json
from dataclasses import fields
from fractions import Fraction
from typing import Any

from trainer.practice.settings import Settings
from trainer.practice.signs import Sign
from trainer.practice.take import (
    BeatVerdict,
    ClashVerdict,
    ExtraNote,
    Health,
    NoteVerdict,
    Performance,
    Take,
    TempoPoint,
    Vibrato,
)

KINDS: tuple[type[Any], ...] = (
    Performance,
    Take,
    NoteVerdict,
    BeatVerdict,
    ClashVerdict,
    ExtraNote,
    Health,
    TempoPoint,
    Vibrato,
    Settings,
)
_NUMBERS = {kind: number for number, kind in enumerate(KINDS)}
_FIELDS = tuple(tuple(field.name for field in fields(kind)) for kind in KINDS)


def performance_text(performance: Performance) -> str:
    """Everything of a performance."""
    return json.dumps(_told(performance), separators=(",", ":"), allow_nan=False)


def performance_of(text: str) -> Performance:
    """The performance of :func:`performance_text`. Raises ValueError on anything else."""
    try:
        found = _made(json.loads(text))
    except (ValueError, TypeError, KeyError, IndexError, ZeroDivisionError) as err:
        raise ValueError("this is no performance") from err
    if not isinstance(found, Performance):
        raise ValueError("this is no performance")
    return found


def _told(value: Any) -> Any:
    kind = _NUMBERS.get(type(value))
    if kind is not None:
        return {"k": kind, "v": [_told(getattr(value, name)) for name in _FIELDS[kind]]}
    if isinstance(value, Sign):
        return {"s": value.value}
    if isinstance(value, Fraction):
        return {"q": str(value)}
    if isinstance(value, tuple):
        return [_told(one) for one in value]
    return value


def _made(value: Any) -> Any:
    if isinstance(value, list):
        return tuple(_made(one) for one in value)
    if not isinstance(value, dict):
        return value
    if "k" in value:
        return KINDS[value["k"]](*(_made(one) for one in value["v"]))
    return Sign(value["s"]) if "s" in value else Fraction(value["q"])
