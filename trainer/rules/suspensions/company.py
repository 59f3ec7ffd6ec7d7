"""What the other voices may do while a note is suspended."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from trainer.rules.declare import SPECIES, Fault, Rule, Settings
from trainer.rules.piece import Piece
from trainer.rules.suspension import RISES, Suspension, consonant
from trainer.rules.texture import Tone


def _cause_moves(piece: Piece, settings: Settings) -> Iterator[Fault]:
    texture = piece.texture
    for one in piece.suspensions:
        end = one.resolution
        # the bass, or over a suspended bass any one voice, keeps the dissonance: Fux figs 197 and 204
        keeping = [one.bass] if one.bass in one.against else one.against
        if end is None or any(tone.end > end.on for tone in keeping):
            continue
        for cause in one.against:
            after = texture.after(cause)
            if cause.end > end.on or after is None or after.midi == cause.midi:
                continue
            case = "at-resolution" if cause.end == end.on and consonant(texture, end) else ""
            says = f"{cause.name} goes to {after.name} while {one.held.name} is suspended against it"
            yield Fault(one.at, end.on, (one.held, cause, end), says, case)


def _anticipated(piece: Piece, settings: Settings) -> Iterator[Fault]:
    texture = piece.texture
    for one in piece.suspensions:
        if one.resolution is None or one.outcome == RISES:
            continue
        goal = one.resolution
        for voice in range(piece.parts):
            inside = texture.between(voice, one.at, goal.on)
            there = next((tone for tone in inside if _sounds(texture.ticks, tone, goal, one.at)), None)
            if there is None or there.voice == one.held.voice or _octave_of(one, there):
                continue
            yield Fault(
                one.at,
                goal.on,
                (one.held, there),
                f"{there.name} sounds the resolution of {one.held.name} while it is still suspended",
            )


def _octave_of(one: Suspension, there: Tone) -> bool:
    """Whether a tone is that with which the resolution makes its octave: the bass under a ninth, a voice over a bass in sevenths."""
    under = there is one.bass and one.figure in ("9-8", "2-1")
    return under or (one.in_bass and one.figure == "7-8" and there in one.against)


def _sounds(ticks: int, tone: Tone, goal: Tone, at: int) -> bool:
    """Whether a tone has the goal's letter at the dissonance, or for a half note or more before the goal."""
    if (tone.letter, tone.alter) != (goal.letter, goal.alter) or tone is goal:
        return False
    return tone.on <= at < tone.end or (at < tone.on < goal.on and tone.length >= 2 * ticks)


def _double(piece: Piece, settings: Settings) -> Iterator[Fault]:
    for at, group in groupby(piece.suspensions, key=lambda one: one.at):
        both = [one.held for one in group]
        if len(both) > 1:
            yield Fault(at, at, tuple(both), f"{' and '.join(tone.name for tone in both)} are suspended at once")


def _figure(piece: Piece, settings: Settings) -> Iterator[Fault]:
    every = [one.figure for one in piece.suspensions]
    for one in piece.suspensions:
        case = f"bass-{one.figure}" if one.in_bass else one.figure
        if case not in _CASES:
            continue
        if case == "9-8" and every.count("9-8") == 1:
            case = "9-8-once"
        yield Fault(one.at, one.at, (one.held, *one.against), f"{one.held.name} is suspended {one.figure}", case)


_CASES = {
    "9-8": "into the octave, several times",
    "9-8-once": "into the octave, once",
    "2-1": "into the unison",
    "bass-4-5": "the bass suspended under a fourth",
    "bass-7-8": "the bass suspended under a seventh",
}

RULES = (
    Rule(
        id="susp-bass-still",
        sentence="The note that makes a suspension dissonant stays until the resolution has come.",
        advice="hold the other note until the tied one has fallen",
        source="Fux 1725; Cherubini 1835, rule 63 (the change of chord); Bridge c. 1878, chapter 12",
        find=_cause_moves,
        species=SPECIES,
        cases={"at-resolution": "it moves as the suspension falls, and the resolution is consonant"},
        bad=("cantus: alto; species: 4; sing: soprano :: . C5 | - B | A // F4 | F4 | C4 // A3 | D4 B3 | F3",),
        good=("cantus: alto; species: 4; sing: soprano :: . C5 | - B | A // F4 | F4 | C4 // A3 | D4 | F3",),
    ),
    Rule(
        id="susp-note-anticipated",
        sentence="No other voice sounds the note of resolution while a suspension waits for it, but the one that it makes an octave with.",
        advice="give the other voice another note of the chord",
        source="Bridge c. 1878, chapter 9",
        find=_anticipated,
        species=SPECIES,
        yields_to=("susp-resolve-down", "susp-bass-still"),
        bad=("species: 4; cantus: bass; sing: soprano :: . C5 | - B | A // E4 | B3 | C4 // A3 | D3 | F3",),
        good=("species: 4; cantus: bass; sing: soprano :: . C5 | - B | A // E4 | F4 | C4 // A3 | D3 | F3",),
    ),
    Rule(
        id="double-suspension",
        sentence="One voice at a time is suspended.",
        advice="let one of the two move with the bass",
        source="common practice, no source; harmony allows it where both are lawful",
        find=_double,
        species=SPECIES,
        bad=("cantus: bass; species: 4; sing: soprano :: . C5 | - B | C // . A4 | - G | G // A3 | G3 | E3",),
        good=("cantus: bass; species: 4; sing: soprano :: . C5 | - B | C // . D4 | - D | E // A3 | G3 | C3",),
    ),
    Rule(
        id="susp-figure",
        sentence="Suspensions resolve into a third or a sixth; into the octave, unison or fifth with care.",
        advice="suspend the fourth or the seventh over the bass, or the second under the upper voice",
        source="Fux 1725 by his figures; Cherubini 1835, rule 63; Bridge c. 1878, chapters 9 and 12",
        find=_figure,
        species=SPECIES,
        yields_to=("susp-chain-perfect", "susp-resolve-down"),
        cases=_CASES,
        bad=("species: 4; cantus: bass; sing: soprano :: . E5 | - D | C // C4 | D4 | A4",),
        good=("species: 4; cantus: bass; sing: soprano :: . C5 | - B | A // A4 | D4 | F4",),
    ),
)
