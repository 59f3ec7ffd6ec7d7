"""Weights fitted to takes, in words and as JSON: what is heavier here than on paper, and what is lighter."""

from __future__ import annotations

import textwrap
from fractions import Fraction
from typing import Any

from trainer.reports.look import Look
from trainer.singable.weights import ANY_NOTE, Weights

SCHEMA = "heldline.weights/1"
CLEARLY = Fraction(5, 4)
"""What is told of a weight: one that is a quarter heavier or lighter (our own)."""


CALLED = {
    "pull": "voices near your note",
    "shorter above": "the voice above being nearer to the last note",
    "shorter below": "the voice below being nearer to the last note",
    "shorter beyond": "a farther voice being nearer to the last note",
    "carried above": "the way back from the voice above",
    "carried below": "the way back from the voice below",
    "carried beyond": "the way back from a farther voice",
    "parting": "leaving a shared note",
    "parting late": "leaving a note that another voice came to",
    "parted": "the note after leaving a shared note",
    "leap": "leaps of a fourth or more",
    "entry": "entries",
    "rub": "seconds beside you",
    "third": "thirds to tune",
}
"""What dangers are called; difficulties are called by their own names."""


def weights_to_json(weights: Weights) -> dict[str, Any]:
    """Every kind with its weight, 1 being paper."""
    return {
        "schema": SCHEMA,
        "takes": weights.takes,
        "failed_bars": weights.failed_bars,
        "difficulties": {kind: float(weight) for kind, weight in weights.difficulties},
        "dangers": {kind: float(weight) for kind, weight in weights.dangers},
    }


def weights_as_text(weights: Weights, look: Look) -> str:
    """A few sentences."""
    if not weights.takes:
        return "Lines and likely slips are weighed by paper alone."
    told = [
        f"Weights are fitted to {weights.takes} takes kept here, in which {weights.failed_bars} bars failed. "
        "singable and the look-through use them from now on; --fit again after more takes, --fit paper to undo it."
    ]
    for heading, called, kinds in (
        ("What is hard", {}, weights.difficulties),
        ("Where you slip", CALLED, weights.dangers),
    ):
        known = [(called.get(kind, kind.replace("-", " ")), weight) for kind, weight in kinds if kind != ANY_NOTE]
        heavier = [one for one in known if one[1] >= CLEARLY]
        lighter = [one for one in known if one[1] <= 1 / CLEARLY]
        more = _row(sorted(heavier, key=lambda one: (-one[1], one[0])))
        less = _row(sorted(lighter, key=lambda one: (one[1], one[0])))
        parts = [f"more than on paper {more}" if more else "", f"less {less}" if less else ""]
        told.append(f"{heading}: {'; '.join(part for part in parts if part) or 'about as on paper'}.")
    return "\n".join(line for sentence in told for line in textwrap.wrap(sentence, look.width))


def _row(kinds: list[tuple[str, Fraction]]) -> str:
    return ", ".join(f"{kind} (x{float(weight):.1f})" for kind, weight in kinds)
