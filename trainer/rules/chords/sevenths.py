"""Chordal sevenths: whether a set has them, which kinds, how they are reached, how they fall, which notes and positions they need.

A *chordal* seventh is struck with its chord or holds on into it without being resolved as a suspension; a seventh that only passes
off the accents, or is suspended, belongs to the dissonances of the species.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from typing import NamedTuple

from trainer.rules.chord import Chord
from trainer.rules.chords._downbeats import suspended
from trainer.rules.declare import SPECIES, Fault, Rule, Settings
from trainer.rules.piece import Piece
from trainer.rules.texture import HALF, Slice, Tone, joined


class Seventh(NamedTuple):
    """One chordal seventh: the slice in which it is heard first, its chord, the tone, and the first slice of another chord."""

    slice: Slice
    chord: Chord
    tone: Tone
    next: Slice | None


@lru_cache(maxsize=4)
def sevenths(piece: Piece) -> tuple[Seventh, ...]:
    """Every chordal seventh of a piece, once a chord."""
    found: list[Seventh] = []
    slices = piece.texture.slices
    index = 0
    while index < len(slices):
        now = slices[index]
        end = index + 1
        chord = _seventh_chord(piece, now)
        if chord is not None:
            while end < len(slices) and _same(piece, chord, slices[end]):
                end += 1
            tone = next(one for one in now.sounding if one.letter == chord.seventh)
            found.append(Seventh(now, chord, tone, slices[end] if end < len(slices) else None))
        index = end
    return tuple(found)


def _seventh_chord(piece: Piece, now: Slice) -> Chord | None:
    if piece.parts < 4 or now.bass is None:
        return None
    texture = piece.texture
    chord = piece.chord(now)
    if chord is None or chord.seventh is None or 3 not in chord.members.values():
        return None
    struck = [tone for tone in now.sounding if tone.on == now.on]
    accented = texture.weight(now.on) >= HALF
    tone = next(one for one in now.sounding if one.letter == chord.seventh)
    root = next((one for one in now.sounding if one.letter == chord.root), None)
    if root is None or len(struck) < 2 or not accented:
        return None
    if any(suspended(piece, now, one) for one in now.sounding) or (tone.on < now.on and root.on < now.on):
        return None
    return chord


def _same(piece: Piece, chord: Chord, now: Slice) -> bool:
    other = piece.chord(now)
    return other is not None and (other.root == chord.root or set(other.members) <= set(chord.members))


def _degree(piece: Piece, chord: Chord) -> int:
    return (chord.root - piece.mode.letter) % 7 + 1 if piece.mode is not None else 0


def _told(one: Seventh, says: str) -> Fault:
    return Fault(one.slice.on, one.slice.on, tuple(one.slice.sounding), says)


def _allowed(piece: Piece, settings: Settings) -> Iterator[Fault]:
    for one in sevenths(piece):
        yield _told(one, f"a {one.chord.quality} chord with {one.tone.name} as its seventh")
    for clash, broken in piece.breaches:
        if broken.rule == "seventh-allowed":
            says = f"{clash.tone.name} and {', '.join(tone.name for tone in clash.against)} are root and seventh over their third"
            yield Fault(clash.at, clash.at, (clash.tone, *clash.against), says)


def _kinds(piece: Piece, settings: Settings) -> Iterator[Fault]:
    degrees = {int(word) for word in settings.words("degrees")}
    for one in sevenths(piece):
        degree = _degree(piece, one.chord)
        if degree not in degrees:
            yield _told(one, f"a seventh on degree {degree}")


def _prepared(piece: Piece, settings: Settings) -> Iterator[Fault]:
    ways = settings.words("ways")
    for one in sevenths(piece):
        tone, before = one.tone, piece.texture.before(one.tone)
        if tone.on < one.slice.on:
            continue
        if before is None or not joined(before, tone):
            yield Fault(tone.on, tone.on, (tone,), f"{tone.name} enters as a seventh")
            continue
        move = tone.dia - before.dia
        if (move == 0 and "held" in ways) or (abs(move) == 1 and "step" in ways):
            continue
        weak = piece.texture.bar_at(tone.on).on != tone.on
        case = "leap-up-weak" if move > 1 and weak and _degree(piece, one.chord) == 5 else ""
        says = f"the seventh {tone.name} is reached from {before.name}"
        # where the seventh is in the cantus, the chord that makes it one is the fault
        others = one.slice.sounding if tone.voice == piece.cantus else (tone,)
        yield Fault(before.on, tone.on, (before, *others), says, case)


def _resolved(piece: Piece, settings: Settings) -> Iterator[Fault]:
    for one in sevenths(piece):
        now = piece.texture.after(one.tone)
        if one.next is None or now is None or one.tone is one.slice.bass or now.dia == one.tone.dia - 1:
            continue
        later = one.next.tones[one.tone.voice]
        if later is not None and now.on < one.next.on and later.dia == one.tone.dia - 1:
            line = piece.texture.lines[later.voice]
            if line[later.place - 1].dia == one.tone.dia:
                continue  # put off while the chord stands: away, back to the seventh, and down
        says = f"the seventh {one.tone.name} goes to {now.name}"
        yield Fault(one.slice.on, now.on, (one.tone, now), says, _resolution_case(one, now))


def _resolution_case(one: Seventh, now: Tone) -> str:
    if one.next is None:
        return ""
    fallen = (one.tone.letter - 1) % 7
    if one.chord.inversion == 2 and now.dia == one.tone.dia + 1:
        return "four-three"
    others = [tone for tone in one.next.sounding if tone.voice != one.tone.voice and tone.letter == fallen]
    return "transferred" if any(tone.on == one.next.on for tone in others) and now.dia != one.tone.dia + 1 else ""


def _complete(piece: Piece, settings: Settings) -> Iterator[Fault]:
    for one in sevenths(piece):
        members = set(one.chord.members.values())
        if piece.parts > 3 and members != {1, 3, 5, 7} and (one.chord.inversion or members != {1, 3, 7}):
            yield _told(one, "the seventh chord is incomplete")


def _inversion(piece: Piece, settings: Settings) -> Iterator[Fault]:
    for one in sevenths(piece):
        if one.chord.inversion != 3 or one.next is None:
            continue
        low = one.next.tones[one.tone.voice]
        if low is not None and low is not one.tone and low.dia != one.tone.dia - 1:
            says = f"the bass {one.tone.name}, a seventh, goes to {low.name}"
            yield Fault(one.slice.on, low.on, (one.tone, low), says)


_KEY = "mode: C major; species: 1; cantus: soprano; sing: bass"
_PLAIN = f"{_KEY} :: C5 | B | C // F4 | F | E // C4 | D | C // A3 | G | C"

RULES = (
    Rule(
        id="seventh-allowed",
        sentence="Seventh chords are not struck; a seventh is suspended or passes.",
        advice="take the chord without its seventh",
        source="Fux 1725; Lehmann, Simple Counterpoint (free in four parts)",
        find=_allowed,
        species=SPECIES,
        bad=(_PLAIN,),
        good=(f"{_KEY} :: C5 | B | C // F4 | D | E // C4 | B3 | C // A3 | G | C",),
    ),
    Rule(
        id="seventh-kinds",
        sentence="Only the usual seventh chords are struck; one on the first degree only in a sequence.",
        advice="take the triad, or another degree",
        source="from memory",
        find=_kinds,
        species=SPECIES,
        yields_to=("seventh-allowed",),
        parameters={"degrees": "2,3,4,5,6,7"},
        bad=(f"{_KEY} :: G4 | G | A // E4 | E | F // C4 | B3 | A // C3 | C | F",),
        good=(_PLAIN,),
    ),
    Rule(
        id="seventh-prep",
        sentence="The seventh of a chord is held from the chord before or reached by step.",
        advice="let the voice that has the note already keep it as the seventh",
        source="Lehmann, lesson XII",
        find=_prepared,
        species=SPECIES,
        yields_to=("seventh-allowed",),
        cases={"leap-up-weak": "the seventh of the chord on the fifth degree, by leap upwards on the weak beat"},
        parameters={"ways": "held,step"},
        bad=(f"{_KEY} :: C5 | B | C // C4 | F | E // E4 | D | C // A3 | G | C",),
        good=(_PLAIN,),
    ),
    Rule(
        id="seventh-resolution",
        sentence="The seventh of a chord falls a step when the chord changes.",
        advice="lead it down a step in the same voice",
        source="Lehmann, lesson XII; common practice, no source",
        find=_resolved,
        species=SPECIES,
        yields_to=("seventh-allowed",),
        cases={
            "transferred": "another voice takes the note of resolution",
            "four-three": "in the second inversion it rises with the bass",
        },
        bad=(f"{_KEY} :: C5 | B | C // F4 | F | G // C4 | D | E // A3 | G | C",),
        good=(_PLAIN,),
    ),
    Rule(
        id="seventh-complete",
        sentence="A seventh chord has all its notes; in root position it may do without its fifth.",
        advice="give the doubled note to the one that is missing",
        source="part-writing handouts of music schools",
        find=_complete,
        species=SPECIES,
        yields_to=("seventh-allowed",),
        bad=(f"{_KEY} :: G4 | G | G // F4 | F | E // C4 | G3 | G // A2 | B | C3",),
        good=(_PLAIN,),
    ),
    Rule(
        id="seventh-inversion",
        sentence="A seventh in the bass falls a step to a sixth chord.",
        advice="lead the bass down a step",
        source="from memory",
        find=_inversion,
        species=SPECIES,
        yields_to=("seventh-resolution", "seventh-allowed"),
        bad=(f"{_KEY} :: C5 | B | C // F4 | G | G // C4 | D | E // A3 | F | G",),
        good=(f"{_KEY} :: C5 | B | C // F4 | G | G // C4 | D | C // A3 | F | E",),
    ),
)
