"""Direct perfect intervals: two voices go the same way into a fifth, an octave or a unison.

How grave that is depends on the number of parts, on whether it is top voice and bass, and on how the upper voice gets there, so each
place has a case. Three things excuse it above two parts: the harmony does not change, the octave is where a ninth resolves, another
voice is tied over it.
"""

from __future__ import annotations

from collections.abc import Iterator

from trainer.rules.declare import Fault, Find, Rule, Settings
from trainer.rules.intervals import CONSONANT_WITH_BASS, perfect, perfect_class, simple
from trainer.rules.parallels.parallel import kind, together, told
from trainer.rules.piece import Piece
from trainer.rules.texture import Move, Tone

_CASES = {
    "outer-leap": "top voice and bass, the top voice leaping",
    "outer-step": "top voice and bass, the top voice by step",
    "inner-leaps": "with an inner voice, both leaping",
    "inner": "with an inner voice, one of the two by step",
}
_WORDS = {5: "fifth", 8: "octave", 1: "unison"}


def _direct(piece: Piece, wanted: int) -> Iterator[tuple[Move, str]]:
    """Every move into the wanted interval that nothing in the harmony excuses, with its case."""
    for (upper, lower), moves in piece.texture.moves.items():
        outer = piece.outer(upper, lower)
        for move in moves:
            if perfect(move.b, move.d) != wanted or together(move) <= 0 or kind(move):
                continue
            if piece.parts > 2 and (_same_chord(piece, move) or (wanted == 8 and _from_a_ninth(move))):
                continue
            if outer and _tie(piece, move) is not None:
                continue
            top = abs(move.b.dia - move.a.dia) > 1
            low = abs(move.d.dia - move.c.dia) > 1
            yield move, direct_case(top, low, outer)


def direct_case(top: bool, low: bool, outer: bool) -> str:
    """The case of a direct perfect interval: whether the upper voice leaps, the lower one leaps, and both are the outer voices."""
    if outer:
        return "outer-leap" if top else "outer-step"
    return "inner-leaps" if top and low else "inner"


def _same_chord(piece: Piece, move: Move) -> bool:
    """Only the places of one triad's notes change."""
    before, after = piece.texture.slice_at(move.at), piece.texture.slice_at(move.to)
    if before is None or after is None:
        return False
    notes = {(tone.letter, tone.alter) for now in (before, after) for tone in now.sounding}
    letters = {letter for letter, _ in notes}
    return len(letters) == len(notes) and any(letters <= {root, (root + 2) % 7, (root + 4) % 7} for root in letters)


def _from_a_ninth(move: Move) -> bool:
    return simple(move.a, move.c)[0] == 1 and move.b.dia == move.a.dia - 1


def _tie(piece: Piece, move: Move) -> Tone | None:
    """A third voice's note tied over the bar line into which the two move, None when there is none."""
    now = piece.texture.slice_at(move.to)
    if now is None or piece.texture.bar_at(move.to).on != move.to:
        return None
    return next((tone for tone in now.tones if tone is not None and tone.on < now.on), None)


def _finder(wanted: int) -> Find:
    def find(piece: Piece, settings: Settings) -> Iterator[Fault]:
        for move, case in _direct(piece, wanted):
            yield told(move, f"both go the same way into the {_WORDS[wanted]}", case)

    return find


def _under_tie(piece: Piece, settings: Settings) -> Iterator[Fault]:
    for move in piece.texture.moves.get((0, piece.parts - 1), ()):
        wanted = perfect(move.b, move.d)
        if wanted not in (5, 8) or together(move) <= 0 or kind(move):
            continue
        tie, bass = _tie(piece, move), piece.texture.bass_at(move.to)
        if tie is not None and bass is not None and simple(tie, bass) not in CONSONANT_WITH_BASS:
            yield told(move, f"a direct {_WORDS[wanted]} under {tie.name}, a dissonance that an inner voice ties over")


def _unison(piece: Piece, settings: Settings) -> Iterator[Fault]:
    for moves in piece.texture.moves.values():
        for move in moves:
            if perfect(move.b, move.d) == 1 and together(move) > 0 and not kind(move):
                last = move.b.end == piece.texture.end
                yield told(move, "both go the same way into a unison", "close" if last else "")


def _battuta(piece: Piece, settings: Settings) -> Iterator[Fault]:
    texture = piece.texture
    for (upper, lower), moves in texture.moves.items():
        if not piece.outer(upper, lower):
            continue
        for move in moves:
            falls, rises = move.a.dia - move.b.dia, move.d.dia - move.c.dia
            octave = perfect_class(move.b, move.d) == 8 and move.b.midi != move.d.midi
            inside = move.b.end < texture.end
            if octave and falls > 1 and rises == 1 and inside and texture.bar_at(move.to).on == move.to:
                yield told(move, "an octave on the strong beat, the upper voice leaping down as the lower steps up")


_ADVICE = "come to it from the other side, or let the upper voice move by step"
_GRADES = "by parts and place: Cherubini 1835; Bridge, Counterpoint, chapter 9; Lehmann, lesson XI"

RULES = (
    Rule(
        id="direct-fifth",
        sentence="Two voices do not go in the same direction into a perfect fifth.",
        advice=_ADVICE,
        source=f"Fux 1725; {_GRADES}",
        find=_finder(5),
        cases=_CASES,
        yields_to=("parallel-fifth", "parallel-octave", "parallel-unison"),
        bad=("E4 | A // C4 | D", "C5 | D // E4 | G", "E4 | A // G3 | A // C3 | D"),
        good=("G4 | A // E4 | D", "E5 | D // C5 | B4 // G4 | G // C4 | G3"),
    ),
    Rule(
        id="direct-octave",
        sentence="Two voices do not go in the same direction into an octave.",
        advice=_ADVICE,
        source=f"Fux 1725; {_GRADES}",
        find=_finder(8),
        cases=_CASES,
        yields_to=("parallel-fifth", "parallel-octave", "parallel-unison"),
        bad=("E4 | A // G3 | A", "C5 | D // A3 | D"),
        good=("C5 | B4 // G3 | B3", "C5 | A // E4 | E // A3 | C"),
    ),
    Rule(
        id="direct-unison",
        sentence="Two voices do not go in the same direction into a unison, except into the last chord.",
        advice="bring the voices to a third instead, or let one of them stay",
        source="Fux 1725; Rockstro 1883",
        find=_unison,
        cases={"close": "into the last chord"},
        yields_to=("parallel-unison", "parallel-octave"),
        bad=("D4 | G | A // B3 | G4 | F",),
        good=("D4 | C // B3 | C",),
    ),
    Rule(
        id="battuta",
        sentence="An octave on the strong beat is not reached with the upper voice leaping down and the lower stepping up.",
        advice="let the upper voice step down into the octave, or take the octave on the weak beat",
        source="Rockstro 1883, Second Order (ottava battuta)",
        find=_battuta,
        yields_to=("antiparallel-octave",),
        bad=("G5 | D | E // C4 | D | C",),
        good=("E5 | D | E // C4 | D | C", "G5 | E | D // C4 | C | D"),
    ),
    Rule(
        id="direct-under-tie",
        sentence="A direct fifth or octave of the outer voices passes while an inner voice ties a dissonance over it.",
        advice="it may stand; the ear is with the suspension",
        source="common practice, no source",
        find=_under_tie,
        bad=("G4 | C5 // G4 E | - D // E3 | F",),
        good=("G4 | C5 // G4 E | F D // E3 | F", "G4 | A // G4 E | - D // E3 | F"),
    ),
)
