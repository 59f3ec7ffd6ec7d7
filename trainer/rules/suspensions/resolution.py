"""How a dissonant tie is resolved: down a step, on time, plainly or with an ornament."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.rules.declare import SPECIES, Fault, Rule, Settings
from trainer.rules.piece import Piece
from trainer.rules.suspension import BROKEN, EARLY, ILL_ORNAMENTED, LATE, RISES, Suspension, due
from trainer.rules.texture import Texture, Tone


def _unresolved(piece: Piece, settings: Settings) -> Iterator[Fault]:
    for one in piece.suspensions:
        florid = piece.species[one.held.voice] == "5"
        if one.outcome not in (BROKEN, RISES) and (florid or one.outcome not in (EARLY, LATE)):
            continue
        says = {
            BROKEN: f"{one.held.name} is left without its step down",
            RISES: f"{one.held.name} goes up",
            EARLY: f"{one.held.name} falls too early",
            LATE: f"{one.held.name} is held too long",
        }[one.outcome]
        yield Fault(one.at, _end(piece.texture, one), _tones(one), says, _case(piece, one), whose=(one.held.voice,))


def _case(piece: Piece, one: Suspension) -> str:
    rises = one.outcome == RISES and one.resolution is not None and one.resolution.midi - one.held.midi == 1
    if rises and piece.mode is not None and piece.mode.is_leading(one.held):
        return "retardation"
    return {LATE: "late", EARLY: "early"}.get(one.outcome, "")


def _ill_ornamented(piece: Piece, settings: Settings) -> Iterator[Fault]:
    for one in piece.suspensions:
        florid = piece.species[one.held.voice] == "5"
        if one.outcome == ILL_ORNAMENTED or (florid and one.outcome in (EARLY, LATE)):
            says = {
                ILL_ORNAMENTED: f"what stands between {one.held.name} and its resolution is no ornament of it",
                EARLY: f"{one.held.name} resolves before the second half of the bar",
                LATE: f"{one.held.name} resolves after the second half of the bar has begun",
            }[one.outcome]
            yield Fault(one.at, _end(piece.texture, one), _tones(one), says, whose=(one.held.voice,))


def _end(texture: Texture, one: Suspension) -> int:
    """The resolution, or where it was due when it came too early."""
    if one.resolution is None:
        return one.held.end
    return due(texture, one.at)[-1] if one.outcome == EARLY else one.resolution.on


def _tones(one: Suspension) -> tuple[Tone, ...]:
    return (one.held, *one.against, *([one.resolution] if one.resolution is not None else []))


RULES = (
    Rule(
        id="susp-resolve-down",
        sentence="A dissonant tie falls a step to a consonance on the next weak half.",
        advice="let the tied note fall a step",
        source="Fux 1725; Rockstro 1883; Lehmann lesson VI (the leading tone alone may rise, in harmony)",
        find=_unresolved,
        species=SPECIES,
        cases={
            "retardation": "the leading tone rises a semitone",
            "late": "held too long",
            "early": "let go too early",
        },
        bad=(
            "species: 4; cantus: bass; sing: soprano :: . C5 | - D | E // A4 | D4 | C4",
            "species: 4; cantus: bass; sing: soprano :: . C5 | - A | B // A4 | D4 | E4",
            "species: 4; cantus: bass; sing: soprano :: . C5 | - | B A | G // A4 | D4 | D4 | E4",
        ),
        good=(
            "species: 4; cantus: bass; sing: soprano :: . C5 | - B | A // A4 | D4 | F4",
            "species: 4; cantus: bass; sing: soprano :: . C5 | - E | D // A4 | A4 | F4",
        ),
    ),
    Rule(
        id="ornamented-resolution",
        sentence="An ornamented suspension reaches its resolution on the second half of the bar, by one of the usual ornaments.",
        advice="sound the resolution on the third quarter; before it only the resolution itself, a pair of eighths, or a leap to a "
        "consonance a third or fifth below",
        source="Rockstro 1883; Lehmann lesson IX; Fux 1725 (fig 83: F4, E4 and D4 in eighths, E4)",
        find=_ill_ornamented,
        species=SPECIES,
        bad=(
            "species: 5; cantus: bass; sing: soprano :: . C5 | - G4 B - | A // A4 | D4 | F4",
            "species: 5; cantus: bass; sing: soprano :: . C5 | - E B - | A // A4 | D4 | F4",
            "species: 5; cantus: bass; sing: soprano :: . C5 | - B A G | A // A4 | D4 | F4",
        ),
        good=(
            "species: 5; cantus: bass; sing: soprano :: . C5 | - B,A B A | A // A4 | D4 | F4",
            "species: 5; cantus: bass; sing: soprano :: . C5 | - A B - | A // A4 | D4 | F4",
            "species: 5; cantus: bass; sing: soprano :: . C5 | - F4 B - | A // A4 | D4 | F4",
        ),
    ),
)
