"""What would make a line easier: one note changed, the piece moved, or another voice for the line.

A changed note is offered only if the rules have nothing new against it; the piece is moved only if no other voice is driven out of its
compass by it. What is offered takes at least a point away.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from trainer.rules.checking import check, check_piece
from trainer.rules.mending import nothing_new, pitches_for, with_note
from trainer.rules.piece import CANTUS, FREE, Piece
from trainer.rules.ruleset import RuleSet
from trainer.rules.texture import Tone
from trainer.score.moved import spelled_interval
from trainer.score.pitch import STEPS, Interval, Pitch
from trainer.singable.compass import COMPASSES, Compass, compass_of
from trainer.singable.kinds import reach
from trainer.singable.part import Part
from trainer.singable.weigh import Weighed, WeighedNote, weigh_part

LEAST_GAIN = Fraction(1)
FARTHEST_LETTERS = 4
"""A fifth: a note further off is another line."""

MOVES = (1, -1, 2, -2, 3, -3, 4, -4, 5, -5, 7, -7)
"""Semitones by which a piece may be moved, the smallest first."""


@dataclass(frozen=True, slots=True)
class Change:
    """One note to change, and what the line weighs less for it."""

    index: int
    bar: int
    printed_bar: str
    beat: Fraction
    before: str
    after: str
    gain: Fraction


@dataclass(frozen=True, slots=True)
class Move:
    """The whole piece moved: by what, from which final to which, and what the line weighs less for it."""

    interval: Interval
    before: str
    after: str
    gain: Fraction


def change_for(
    part: Part, weighed: Weighed, note: WeighedNote, rule_set: RuleSet, species: str | None
) -> Change | None:
    """The one note at or before *note* whose change helps most and breaks no rule; None when there is none.

    *species* is what the score is checked as, as in :func:`trainer.rules.checking.check`.
    """
    judged = Piece(part.piece.score, species)
    if judged.species[part.voice] == CANTUS:
        return None
    old = [one for one in check_piece(judged, rule_set).findings if one.strictness != "style"]
    as_is = dict(enumerate(judged.species))
    before = _total(weighed)
    tried = []
    for tone, pitch in _near(judged, part, note):
        score = with_note(part.piece.score, tone, pitch)
        gain = before - _total(weigh_part(replace_piece(part, Piece(score, FREE))))
        if gain >= LEAST_GAIN:
            tried.append((-gain, abs(pitch.midi - tone.midi), tone.on, pitch.midi, tone, pitch, score))
    for less, _, _, _, tone, pitch, score in sorted(tried, key=lambda one: one[:4]):
        if nothing_new(old, check(score, rule_set, as_is)):
            place = part.texture.place(tone.on)
            return Change(tone.place, place.bar, place.printed_bar, place.beat, tone.name, str(pitch), -less)
    return None


def replace_piece(part: Part, piece: Piece) -> Part:
    """The same singer on another piece."""
    return Part(piece, part.voice, compass=part.compass, tempo=part.tempo)


def _near(judged: Piece, part: Part, note: WeighedNote) -> Iterator[tuple[Tone, Pitch]]:
    for place in (note.index, note.index - 1):
        if 0 <= place < len(part.line):
            tone = part.line[place]
            for pitch in pitches_for(judged, tone):
                if abs(pitch.diatonic - tone.dia) <= FARTHEST_LETTERS:
                    yield tone, pitch


def _total(weighed: Weighed) -> Fraction:
    return sum((note.points for note in weighed.notes), Fraction(0))


def move_for(part: Part) -> Move | None:
    """The smallest move of the whole piece that brings the line best into its compass; None when none helps."""
    mode = part.mode
    here = _reach(part, 0)
    if here < LEAST_GAIN or mode is None:
        return None
    others = [Part(part.piece, voice) for voice in part.others]
    beyond = sum(_beyond(other, 0) for other in others)
    best = min(MOVES, key=lambda one: (_reach(part, one), abs(one)))
    gain = here - _reach(part, best)
    if gain < LEAST_GAIN or sum(_beyond(other, best) for other in others) > beyond:
        return None
    interval = spelled_interval(mode.fifths, best)
    try:
        moved = Pitch(STEPS[mode.letter], mode.alter, 4).transposed(interval)
    except ValueError:  # a final with two signs already
        return None
    return Move(interval, f"{mode.final} {mode.name}", f"{moved.step}{moved.accidental} {mode.name}", gain)


def voice_for(part: Part) -> str | None:
    """The voice for which the line lies best, if that is not the one it is weighed for and it lies a point better."""
    here = _reach(part, 0)
    found = {name: _reach(_as(part, compass), 0) for name, compass in COMPASSES.items()}
    best = min(
        found, key=lambda name: (found[name], abs(compass_middle(COMPASSES[name]) - compass_middle(part.compass)))
    )
    return best if best != part.compass.voice and here - found[best] >= LEAST_GAIN else None


def compass_middle(compass: Compass) -> int:
    """Twice the middle of where it is at ease."""
    return compass.ease_from + compass.ease_to


def _as(part: Part, compass: Compass) -> Part:
    return Part(part.piece, part.voice, compass=compass, tempo=part.tempo)


def _reach(part: Part, semitones: int) -> Fraction:
    """What the line weighs for where it lies, moved by so much: as if the singer were moved the other way."""
    there = _as(part, _lowered(part.compass, semitones))
    return sum((found.points for kind in reach.KINDS for found in kind.find(there)), Fraction(0))


def _beyond(part: Part, semitones: int) -> int:
    """How many notes of another voice lie outside its compass after a move."""
    usual = compass_of(part.piece.score, part.voice, part.line)
    return sum(not usual.lowest <= tone.midi + semitones <= usual.highest for tone in part.line)


def _lowered(compass: Compass, semitones: int) -> Compass:
    names = ("lowest", "highest", "ease_from", "ease_to", "break_from", "break_to")
    return replace(compass, **{name: getattr(compass, name) - semitones for name in names})
