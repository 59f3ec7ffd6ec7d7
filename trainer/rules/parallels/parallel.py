"""Parallel fifths, octaves and unisons between any two voices, from one attack to the next."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.rules.declare import Fault, Find, Rule, Settings
from trainer.rules.intervals import perfect
from trainer.rules.piece import Piece

_WORDS = {5: "fifths", 8: "octaves", 1: "unisons"}


def _finder(wanted: int) -> Find:
    def find(piece: Piece, settings: Settings) -> Iterator[Fault]:
        for moves in piece.texture.moves.values():
            for move in moves:
                up, low = move.b.dia - move.a.dia, move.d.dia - move.c.dia
                if up * low <= 0 or perfect(move.a, move.c) != wanted or perfect(move.b, move.d) != wanted:
                    continue
                yield Fault(
                    move.at,
                    move.to,
                    (move.a, move.c, move.b, move.d),
                    f"{move.a.name}/{move.c.name} to {move.b.name}/{move.d.name} are parallel {_WORDS[wanted]}",
                )

    return find


_SOURCE = "Fux 1725; Rockstro 1883, Strict Counterpoint; Cherubini 1835"
_ADVICE = "let one of the two stay, or move against the other"

RULES = (
    Rule(
        id="parallel-fifth",
        sentence="No two voices move from a perfect fifth to a perfect fifth in the same direction.",
        advice=_ADVICE,
        source=_SOURCE,
        find=_finder(5),
        bad=("A4 | B // D4 | E", "C5 A4 | B // F4 D | E"),
        good=("A4 | B // D4 | G", "A4 | A // D4 | D", "B4 | C5 // E4 | F#4"),
    ),
    Rule(
        id="parallel-octave",
        sentence="No two voices move from an octave to an octave in the same direction.",
        advice=_ADVICE,
        source=_SOURCE,
        find=_finder(8),
        bad=("D5 | E // D4 | E",),
        good=("D5 | E // D4 | C", "D5 | D // D4 | D"),
    ),
    Rule(
        id="parallel-unison",
        sentence="No two voices move from a unison to a unison.",
        advice=_ADVICE,
        source=_SOURCE,
        find=_finder(1),
        bad=("D4 | E // D4 | E",),
        good=("D4 | E // D4 | C", "D4 | D // D4 | D"),
    ),
)
