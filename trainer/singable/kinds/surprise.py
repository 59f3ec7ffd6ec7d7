"""Intervals that voices of this kind hardly ever make after what came before."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from trainer.singable.counted import surprise_c100
from trainer.singable.declare import HALF, Found, Kind
from trainer.singable.part import Part

TOLD_FROM_C100 = 800
"""Eight bits: once in 256 such places."""

STEP_C100 = 200
"""Half a point for each two bits beyond."""


def _unusual(part: Part) -> Iterator[Found]:
    for before, after in part.steps():
        bits = surprise_c100(part, before, after)
        if bits >= TOLD_FROM_C100:
            points = HALF * (1 + Fraction((bits - TOLD_FROM_C100) // STEP_C100))
            says = (
                f"{before.name} to {after.name}, after what came before, is rare for {article(part.compass.voice)}: "
                f"once in {_once(bits)} places"
            )
            yield Found(after, points, says)


def article(voice: str) -> str:
    """A voice with its article."""
    return f"{'an' if voice == 'alto' else 'a'} {voice}"


def _once(bits_c100: int) -> int:
    """2 to the power of the bits, to one figure."""
    whole = 1 << (bits_c100 // 100)
    digits = len(str(whole)) - 1
    tens = int("1" + "0" * digits)
    return whole // tens * tens


KINDS = (
    Kind(
        id="unusual",
        sentence="What is hardly ever asked of a voice has not been practised by anybody.",
        advice="sing the two notes alone until they are a tune of their own",
        source="counted from 365 chorales (see the table beside the code)",
        find=_unusual,
        bad=("C4 | A4 | B4", "F4 | B | A"),
        good=("C4 | D | E | F | G",),
    ),
)
