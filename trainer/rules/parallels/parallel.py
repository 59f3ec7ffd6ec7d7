"""Parallel and antiparallel fifths, octaves and unisons between any two voices, from one attack to the next."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.rules.declare import Fault, Find, Rule, Settings
from trainer.rules.intervals import DIMINISHED_FIFTH, perfect, simple
from trainer.rules.piece import Piece
from trainer.rules.texture import Move

_WORDS = {5: "fifths", 8: "octaves", 1: "unisons"}


def together(move: Move) -> int:
    """Above 0 where both voices go the same way, below 0 where they go against each other."""
    return (move.b.midi - move.a.midi) * (move.d.midi - move.c.midi)


def kind(move: Move) -> int:
    """5, 8 or 1 where both moments have that perfect interval, an octave and a unison counting as octaves; 0 else."""
    before, after = perfect(move.a, move.c), perfect(move.b, move.d)
    if before == after:
        return before
    return 8 if {before, after} == {1, 8} else 0


def told(move: Move, words: str, case: str = "") -> Fault:
    """The fault of a whole move."""
    says = f"{move.a.name}/{move.c.name} to {move.b.name}/{move.d.name}: {words}"
    return Fault(move.at, move.to, (move.a, move.c, move.b, move.d), says, case)


def _parallel(wanted: int) -> Find:
    def find(piece: Piece, settings: Settings) -> Iterator[Fault]:
        for moves in piece.texture.moves.values():
            for move in moves:
                if kind(move) == wanted and together(move) > 0:
                    yield told(move, f"parallel {_WORDS[wanted]}")

    return find


def _fifths(piece: Piece, settings: Settings) -> Iterator[Fault]:
    yield from _parallel(5)(piece, settings)
    for moves in piece.texture.moves.values():
        for move in moves:
            rising = move.b.midi > move.a.midi and move.d.midi > move.c.midi
            if rising and simple(move.a, move.c) == DIMINISHED_FIFTH and perfect(move.b, move.d) == 5:
                low = piece.texture.bass_at(move.to) in (move.b, move.d)
                case = "diminished-with-bass" if low else "diminished-above"
                yield told(move, "a diminished fifth rises to a perfect one", case)


def _contrary(wanted: int) -> Find:
    def find(piece: Piece, settings: Settings) -> Iterator[Fault]:
        end, last = piece.texture.end, piece.parts - 1
        for (upper, lower), moves in piece.texture.moves.items():
            for move in moves:
                found = kind(move)
                if together(move) >= 0 or not found or (found == 5) != (wanted == 5):
                    continue
                close = wanted == 8 and move.b.end == end and lower == last and upper > 0
                yield told(move, f"{_WORDS[wanted]} by contrary motion", "close" if close else "")

    return find


_SOURCE = "Fux 1725; Rockstro 1883, Strict Counterpoint; Cherubini 1835"
_ADVICE = "let one of the two stay or take another note of the chord, or lead it against the other to a third or sixth"

RULES = (
    Rule(
        id="parallel-fifth",
        sentence="No two voices move from a perfect fifth to a perfect fifth in the same direction.",
        advice=_ADVICE,
        source=f"{_SOURCE}; diminished to perfect: Lehmann, Simple Counterpoint, lesson XI",
        find=_fifths,
        cases={
            "diminished-with-bass": "a diminished fifth with the bass rises to a perfect one",
            "diminished-above": "the same between two upper voices",
        },
        bad=("A4 | B // D4 | E", "C5 A4 | B // F4 D | E", "F4 | G // B3 | C4 // D3 | C", "F4 | G // B3 | C4"),
        good=("A4 | B // D4 | G", "A4 | A // D4 | D", "C5 | B // F#4 | E"),
    ),
    Rule(
        id="parallel-octave",
        sentence="No two voices move from an octave to an octave, or between octave and unison, in the same direction.",
        advice=_ADVICE,
        source=_SOURCE,
        find=_parallel(8),
        bad=("D5 | E // D4 | E", "C5 | G5 // C4 | G5"),
        good=("D5 | E // D4 | C", "D5 | D // D4 | D"),
    ),
    Rule(
        id="parallel-unison",
        sentence="No two voices move from a unison to a unison.",
        advice=_ADVICE,
        source=_SOURCE,
        find=_parallel(1),
        bad=("D4 | E // D4 | E",),
        good=("D4 | E // D4 | C", "D4 | D // D4 | D"),
    ),
    Rule(
        id="antiparallel-fifth",
        sentence="No two voices go from a fifth to a twelfth, or back, by contrary motion.",
        advice=_ADVICE,
        source=f"{_SOURCE}; looser in four parts: common practice, no source",
        find=_contrary(5),
        bad=("A4 | E5 // D4 | A3",),
        good=("A4 | E5 // D4 | C", "A4 | B // D4 | E"),
    ),
    Rule(
        id="antiparallel-octave",
        sentence="No two voices go between octaves of different width, or octave and unison, by contrary motion.",
        advice=_ADVICE,
        source=f"{_SOURCE}; looser in four parts: common practice, no source",
        find=_contrary(8),
        cases={"close": "into the last chord, between the bass and an inner voice"},
        bad=("D5 | A5 // D4 | A3", "C5 | G4 // C4 | G4"),
        good=("D5 | A // D4 | F", "D5 | E // D4 | E"),
    ),
)
