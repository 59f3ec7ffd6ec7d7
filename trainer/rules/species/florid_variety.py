"""A florid line changes its rhythm. Lehmann lesson IX; a university's fifth-species handout."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from trainer.rules.declare import Fault, Rule, Settings
from trainer.rules.piece import Piece
from trainer.rules.species._bars import FloridBar, florid_lines

_FIFTH = frozenset({"5"})


def _same_twice(piece: Piece, settings: Settings) -> Iterator[Fault]:
    for voice, bars in florid_lines(piece):
        for first, second in pairwise(bars):
            if first.pattern == second.pattern and second.struck:
                yield _from(voice, first, second, "two bars running have the same rhythm")


def _from(voice: int, first: FloridBar, last: FloridBar, says: str, case: str = "") -> Fault:
    tones = tuple(tone for one in (first, last) for _, tone in one.struck[:1])
    return Fault(first.bar.on, last.bar.on, tones, says, case, whose=(voice,))


def _variety(piece: Piece, settings: Settings) -> Iterator[Fault]:
    for voice, bars in florid_lines(piece):
        if len(bars) < 7:
            continue
        ties = sum(one.held.voice == voice for one in piece.suspensions)
        patterns = len({one.pattern for one in bars})
        if patterns * 8 < settings.number("patterns") * len(bars):
            yield _from(voice, bars[0], bars[-1], f"only {patterns} rhythms in {len(bars)} bars")
        if ties < settings.number("suspensions"):
            yield _from(voice, bars[0], bars[-1], f"{ties} dissonant ties in the whole line", "suspensions")


RULES = (
    Rule(
        id="florid-species-run",
        sentence="Two bars running do not have the same rhythm.",
        advice="tie one of the two, or mix halves and quarters",
        source="Lehmann lesson IX; Fux 1725 by his figures",
        find=_same_twice,
        species=_FIFTH,
        bad=("species: 5; cantus: bass; sing: soprano :: . A4 | G F E F | G A B G | D // D4 | C4 | E4 | D4",),
        good=("species: 5; cantus: bass; sing: soprano :: . A4 | G F E F | G - A - | D // D4 | C4 | E4 | D4",),
    ),
    Rule(
        id="florid-variety",
        sentence="A florid line has three rhythms or more in eight bars, and two suspensions or more.",
        advice="tie over where the next bar lets the note fall a step",
        source="common practice, no source",
        find=_variety,
        species=_FIFTH,
        parameters={"patterns": "3", "suspensions": "2"},
        cases={"suspensions": "too few dissonant ties"},
        bad=(
            "species: 5; cantus: bass; sing: soprano :: . A4 | G F E F | G F E F | G F E F | G F E F | G F E F | G F E C# | D "
            "// D4 | C4 | C4 | C4 | C4 | C4 | E4 | D4",
        ),
        good=(
            "species: 5; cantus: bass; sing: soprano :: . A4 | G F E - | - D E F | G - C5 - | - B A G | F - D5 - | - C# - - | D "
            "// D4 | C4 | F4 | C4 | D4 | F4 | E4 | D4",
        ),
    ),
)
