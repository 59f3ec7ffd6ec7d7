"""Perfect intervals that a chain of ties only delays."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from trainer.rules.declare import SPECIES, Fault, Rule, Settings
from trainer.rules.intervals import perfect_class
from trainer.rules.piece import Piece
from trainer.rules.suspension import Suspension

_CASE = {5: "fifth", 8: "octave"}


def _delayed(piece: Piece, settings: Settings) -> Iterator[Fault]:
    texture = piece.texture
    for voice in range(piece.parts):
        chain = [one for one in piece.suspensions if one.held.voice == voice and one.resolution is not None]
        for first, second in pairwise(chain):
            if texture.bar_index(second.at) - texture.bar_index(first.at) != 1:
                continue
            for other in range(piece.parts):
                found = _perfects(piece, first, second, other)
                if found is not None:
                    yield found._replace(case="bass-4-5-once") if _once(chain, first, second, found) else found


def _once(chain: list[Suspension], first: Suspension, second: Suspension, found: Fault) -> bool:
    """Whether a bass suspended under fourths makes the fifths, in these two bars and not in three running."""
    under = {one.at: one for one in chain if one.in_bass and one.figure == "4-5"}
    bar = second.at - first.at
    alone = first.at - bar not in under and second.at + bar not in under
    return found.case == "fifth" and alone and {first.at, second.at} <= set(under)


def _perfects(piece: Piece, first: Suspension, second: Suspension, other: int) -> Fault | None:
    low, high = (piece.texture.tone_at(other, one.at) for one in (first, second))
    start, end = first.resolution, second.resolution
    if low is None or high is None or start is None or end is None or other == start.voice:
        return None
    kind = perfect_class(start, low)
    together = (end.dia - start.dia) * (high.dia - low.dia) > 0
    if not kind or kind != perfect_class(end, high) or not together:
        return None
    what = "fifths" if kind == 5 else "octaves or unisons"
    says = f"without the ties {start.name}/{low.name} and {end.name}/{high.name} are parallel {what}"
    return Fault(first.at, end.on, (first.held, low, second.held, high), says, _CASE[kind])


RULES = (
    Rule(
        id="susp-chain-perfect",
        sentence="A chain of ties does not hide parallel octaves, unisons or fifths between its resolutions.",
        advice="break the chain: let one bar go without the tie, or take another figure",
        source="Cherubini 1835: discords are delays of concords; a university's fourth-species grading guide",
        find=_delayed,
        species=SPECIES,
        cases={
            "octave": "octaves or unisons, as in 9-8 9-8",
            "fifth": "fifths",
            "bass-4-5-once": "the bass under fourths twice running",
        },
        bad=("species: 4; cantus: bass; sing: soprano :: . F5 | - E | - D | - C | C // F4 | E4 | D4 | A4 | A4",),
        good=("species: 4; cantus: bass; sing: soprano :: . C5 | - B | - A | - G | A // A4 | D4 | C4 | B3 | A3",),
    ),
)
