"""The thirteen words for one beat or note, in the order in which one is chosen when several apply."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum


class Sign(StrEnum):
    """What is said of a note or a beat. The order of definition is the order of precedence."""

    SILENT = "silent"
    UNSURE = "unsure"
    PULLED = "pulled"
    OFF = "off"
    OCTAVE = "octave"
    SHARP = "sharp"
    FLAT = "flat"
    LATE = "late"
    EARLY = "early"
    LEFT_EARLY = "left early"
    BREATH = "breath"
    HELD = "held"
    REST = "rest"


ORDER = tuple(Sign)
COUNTED_AS_HELD = frozenset({Sign.HELD, Sign.BREATH})


def ranked(signs: Iterable[Sign]) -> tuple[Sign, ...]:
    """Each sign once, the main one first; HELD when there is none."""
    found = set(signs) or {Sign.HELD}
    if len(found) > 1:
        found.discard(Sign.HELD)
    return tuple(sign for sign in ORDER if sign in found)
