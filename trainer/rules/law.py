"""Which rule, if any, a classified dissonance breaks. Kept apart from the rules so that each dissonance is told by one of them only.

Values decide: a half note is under the law of the second species, a quarter under that of the third, whatever the line is (Fux 1725).
Suspensions are judged by their own rules.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from trainer.rules.dissonance import (
    ANTICIPATION,
    BROKEN_CAMBIATA,
    CAMBIATA,
    DOUBLE_NEIGHBOUR,
    LEFT_BY_LEAP,
    NEIGHBOUR,
    PASSING,
    PEDAL,
    RESTRUCK,
    SUSPENSION,
    Dissonance,
)
from trainer.rules.suspension import consonant
from trainer.rules.texture import HALF, SMALLER, STRONG, WEAK, joined

if TYPE_CHECKING:
    from trainer.rules.piece import Piece


class Breach(NamedTuple):
    """The rule that a dissonance breaks, in which case."""

    rule: str
    case: str = ""


def breach(piece: Piece, one: Dissonance) -> Breach | None:
    """The breach, None where the dissonance is lawful or is for the rules of suspensions."""
    if one.shape == SUSPENSION:
        return None
    if not any(piece.is_moving(tone.voice) for tone in (one.tone, *one.against)):
        return _still(piece, one)
    if one.weight == STRONG:
        return _struck(piece, one)
    return _weak(piece, one)


def _inner_seventh(piece: Piece, one: Dissonance) -> bool:
    """Whether three parts strike root and seventh over the third: a seventh chord, though all is consonant with the bass."""
    return one.vertical == "seventh" and piece.parts == 3 and one.bass not in (one.tone, *one.against)


def _still(piece: Piece, one: Dissonance) -> Breach:
    if _inner_seventh(piece, one):
        return Breach("seventh-allowed")
    named = {
        "six-four": Breach("six-four", _six_four(piece, one)),
        "fourth": Breach("fourth-vs-bass"),
        "tritone": Breach("diminished-root", _diminished(piece, one)),
        "augmented": Breach("augmented-triad"),
        "diminished fourth": Breach("all-consonant", "diminished-fourth"),
        "seventh": Breach("all-consonant", "seventh" if piece.parts >= 4 else ""),
    }
    return named.get(one.vertical, Breach("all-consonant"))


def _struck(piece: Piece, one: Dissonance) -> Breach:
    if one.shape == RESTRUCK:
        return Breach("dissonance-struck", "restruck")
    if one.shape == PEDAL:
        return Breach("dissonance-struck", "pedal")
    if _inner_seventh(piece, one):
        return Breach("seventh-allowed")
    if piece.parts > 2:
        chordal = {
            "six-four": Breach("six-four", _six_four(piece, one)),
            "tritone": Breach("diminished-root", _diminished(piece, one)),
            "augmented": Breach("augmented-triad"),
            "diminished fourth": Breach("dissonance-struck", "diminished-fourth"),
        }
        if one.vertical in chordal:
            return chordal[one.vertical]
    return Breach("dissonance-struck", "seventh" if one.vertical == "seventh" and piece.parts >= 4 else "")


def _six_four(piece: Piece, one: Dissonance) -> str:
    """The case by-step where the bass comes and goes by step or stays, and on an accent what stands over it comes by step too."""
    before, after = piece.texture.before(one.bass), piece.texture.after(one.bass)
    smooth = all(other is None or abs(other.dia - one.bass.dia) <= 1 for other in (before, after))
    return "by-step" if smooth else ""


def _diminished(piece: Piece, one: Dissonance) -> str:
    """The case close where the bass has the leading tone in the last bar but one."""
    bar, mode = piece.penultimate, piece.mode
    closing = bar is not None and bar.on <= one.at < bar.end
    return "close" if closing and mode is not None and mode.is_leading(one.bass) else ""


def _weak(piece: Piece, one: Dissonance) -> Breach | None:
    texture, tone = piece.texture, one.tone
    if one.struck_together and set(one.against) == set(one.struck_together):
        return Breach("clash-of-moving", _together(piece, one))
    if one.struck_together and one.shape == PASSING and one.weight == HALF:
        return Breach("clash-of-moving", _together(piece, one))
    if one.vertical == "tritone" and one.shape != PASSING and _diminished(piece, one):
        return Breach("diminished-root", "close")
    bar = texture.bar_at(tone.on)
    if tone.end > bar.end and one.weight >= WEAK:
        if any(held.held is tone for held in piece.suspensions):
            return None  # an unprepared suspension is one event with its preparation
        if piece.species[tone.voice] in ("4", "5"):
            return Breach("tie-value", "from-dissonance")
    if one.shape == PEDAL:
        return Breach("dissonance-weak", "pedal")
    if one.shape == ANTICIPATION:
        return Breach("dissonance-weak", "anticipation")
    if one.weight == SMALLER:
        return None if one.shape in (PASSING, NEIGHBOUR) else _by_leap(piece, one)
    if tone.length > bar.grid:
        return _long(piece, one)
    return _quarter(piece, one)


def _together(piece: Piece, one: Dissonance) -> str:
    """How two notes struck together on a weak moment clash: "contrary" steps, "passing" under a resolution, or else."""
    texture, tone = piece.texture, one.tone
    resolutions = {id(held.resolution) for held in piece.suspensions}
    if one.shape == PASSING and any(id(other) in resolutions for other in one.struck_together):
        return "passing"
    ways = []
    for moving in (tone, *one.struck_together):
        before = texture.before(moving)
        if before is None or not joined(before, moving) or abs(moving.dia - before.dia) != 1:
            return ""
        ways.append(moving.dia - before.dia)
    return "contrary" if all(way == -ways[0] for way in ways[1:]) else ""


def _long(piece: Piece, one: Dissonance) -> Breach | None:
    if one.shape == PASSING:
        return None
    if one.shape == NEIGHBOUR:
        return Breach("dissonance-weak", "neighbour")
    return _by_leap(piece, one)


def _quarter(piece: Piece, one: Dissonance) -> Breach | None:
    texture, tone = piece.texture, one.tone
    if one.weight == HALF and one.shape == PASSING:
        before, after = texture.before(tone), texture.after(tone)
        framed = before is not None and after is not None and consonant(texture, before) and consonant(texture, after)
        return Breach("dissonance-weak", "accented-passing" if framed else "")
    if one.weight == HALF and one.shape == NEIGHBOUR:
        return Breach("dissonance-weak", "accented-neighbour")
    if one.shape in (PASSING, NEIGHBOUR):
        return None
    if one.shape == DOUBLE_NEIGHBOUR:
        before = texture.before(tone)
        told = any(other.tone is before and other.shape == DOUBLE_NEIGHBOUR for other in piece.dissonances)
        return None if told else Breach("double-neighbour")
    if one.shape == CAMBIATA:
        return _cambiata(piece, one)
    if one.shape == BROKEN_CAMBIATA and one.vertical not in ("augmented", "diminished fourth"):
        return Breach("cambiata-broken")
    return _by_leap(piece, one)


def _cambiata(piece: Piece, one: Dissonance) -> Breach | None:
    line, place = piece.texture.lines[one.tone.voice], one.tone.place
    if one.tone.dia > line[place - 1].dia:
        return Breach("cambiata-broken", "inverted")
    fourth, fifth = line[place + 2], line[place + 3] if place + 3 < len(line) else None
    goes_on = fifth is not None and joined(fourth, fifth) and fifth.dia == fourth.dia + 1
    return None if goes_on else Breach("cambiata", "short")


def _by_leap(piece: Piece, one: Dissonance) -> Breach:
    texture, tone = piece.texture, one.tone
    if one.vertical in ("augmented", "diminished fourth") and one.bass not in (tone, *one.against):
        return Breach("dissonance-weak", "diminished-fourth")
    if one.shape in (LEFT_BY_LEAP, BROKEN_CAMBIATA):
        return Breach("dissonance-left-by-leap")
    before, after = texture.before(tone), texture.after(tone)
    if one.weight == WEAK and before is not None and after is not None and joined(tone, after):
        tied = before.on < texture.bar_at(tone.on).on and before.end == tone.on
        if tied and after.dia == tone.dia - 1 and consonant(texture, after):
            return Breach("dissonance-weak", "after-tie")
    return Breach("dissonance-weak")
