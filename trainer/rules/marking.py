"""What every note is, as a teacher marks it: its interval over the lowest voice and with each other, its kind, its tendency.

A note is told where it is struck, and again where it is held into a dissonance. Kinds are the shapes of ``dissonance``, and for a
suspension its three moments: prepares, suspension, resolves. Tendencies are the leading tone, notes with a sign of their own, and a
chordal seventh (common practice, no source).
"""

from __future__ import annotations

from typing import NamedTuple

from trainer.rules.dissonance import Dissonance
from trainer.rules.intervals import name
from trainer.rules.piece import Piece
from trainer.rules.suspension import RISES, Suspension
from trainer.rules.texture import WEAK, Slice, Tone

CHORD_TONE = "chord tone"


class Mark(NamedTuple):
    """One note at one moment.

    ``over_lowest`` is the interval over the lowest sounding tone, "" for that tone itself; ``against`` the intervals with every other
    voice that sounds; ``tendency`` is "" for most notes.
    """

    at: int
    tone: Tone
    kind: str
    over_lowest: str
    against: tuple[tuple[int, str], ...]
    tendency: str


def marks(piece: Piece) -> tuple[Mark, ...]:
    """Every note, in order of time and from the top."""
    dissonant = {(one.at, one.tone.voice): one for one in piece.dissonances}
    moments = _suspension_moments(piece)
    found = []
    for here in piece.texture.slices:
        for tone in here.sounding:
            one = dissonant.get((here.on, tone.voice))
            if tone.on != here.on and one is None:
                continue
            kind = moments.get((here.on, tone.voice)) or _kind(one)
            found.append(_mark(piece, here, tone, kind, one))
    return tuple(found)


def _mark(piece: Piece, here: Slice, tone: Tone, kind: str, one: Dissonance | None) -> Mark:
    over = "" if tone is here.bass or here.bass is None else name(here.bass, tone)
    against = tuple((other.voice, name(tone, other)) for other in here.sounding if other is not tone)
    return Mark(here.on, tone, kind, over, against, _tendency(piece, here, tone, one))


def _kind(one: Dissonance | None) -> str:
    if one is None:
        return CHORD_TONE
    if one.suspension is not None:
        return f"{_word(one.suspension)} {one.suspension.figure}, {_outcome(one.suspension)}"
    return f"accented {one.shape}" if one.weight > WEAK else one.shape


def _word(one: Suspension) -> str:
    return "retardation" if one.outcome == RISES else "suspension"


def _outcome(one: Suspension) -> str:
    return f"{one.outcome} ({one.ornament})" if one.ornament else one.outcome


def _suspension_moments(piece: Piece) -> dict[tuple[int, int], str]:
    """Preparations and resolutions, by tick and voice."""
    found = {}
    for one in piece.suspensions:
        if one.held.on < one.at:
            found[one.held.on, one.held.voice] = f"prepares {one.figure}"
    for one in piece.suspensions:
        if one.resolution is not None:
            # a note that resolves one suspension and prepares the next is told by what it ends
            found[one.resolution.on, one.held.voice] = f"resolves {one.figure}"
    return found


def _tendency(piece: Piece, here: Slice, tone: Tone, one: Dissonance | None) -> str:
    mode = piece.mode
    if mode is not None and mode.is_leading(tone):
        return "leading tone"
    if mode is not None and mode.inflected(tone):
        return "altered"
    chord = piece.chord(here) if one is None or one.vertical == "seventh" else None
    unresolved = one is None or one.suspension is None
    if chord is not None and chord.seventh == tone.letter and unresolved and piece.texture.weight(here.on) > WEAK:
        return "chordal seventh"
    return ""
