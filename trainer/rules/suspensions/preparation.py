"""How a dissonant tie is prepared."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.rules.declare import SPECIES, Fault, Rule, Settings
from trainer.rules.intervals import CONSONANT_WITH_BASS, FOURTH, interval_words, name, perfect_class, simple
from trainer.rules.piece import Piece


def _unprepared(piece: Piece, settings: Settings) -> Iterator[Fault]:
    texture = piece.texture
    for one in piece.suspensions:
        if one.held.on == one.at:
            continue  # struck again: its preparation is another note
        there = texture.slice_at(one.held.on)
        if there is None or there.bass is None:
            continue
        judged = there.sounding if there.bass is one.held else [there.bass]
        clash = next((tone for tone in judged if simple(one.held, tone) not in CONSONANT_WITH_BASS), None)
        if clash is None:
            continue
        stands = one.bass.dia == clash.dia and one.bass.voice == clash.voice
        case = "standing-fourth" if simple(clash, one.held) == FOURTH and stands and clash is there.bass else ""
        yield Fault(
            one.held.on,
            one.at,
            (one.held, clash),
            f"{one.held.name} is tied over from a dissonance ({interval_words(name(one.held, clash))} with {clash.name})",
            case,
            whose=(one.held.voice,),
        )


def _ninth_without_octave(piece: Piece, settings: Settings) -> Iterator[Fault]:
    for one in piece.suspensions:
        before = piece.texture.tone_at(one.bass.voice, one.held.on)
        if one.figure == "9-8" and before is not None and perfect_class(before, one.held) == 8:
            yield Fault(
                one.held.on,
                one.at,
                (one.held, before, one.bass),
                f"the ninth {one.held.name} over {one.bass.name} was an octave over {before.name}",
            )


RULES = (
    Rule(
        id="susp-prep",
        sentence="A note tied over into a dissonance begins as a consonance.",
        advice="begin the tied note on a third, fifth, sixth or octave over the bass",
        source="Fux 1725; Cherubini 1835; Bridge c. 1878, chapter 9",
        find=_unprepared,
        species=SPECIES,
        cases={"standing-fourth": "a fourth over a bass that stands still, tied into a 4-3"},
        bad=("species: 4; cantus: bass; sing: soprano :: . B4 | - A | G // A4 | C4 | E4",),
        good=("species: 4; cantus: bass; sing: soprano :: . C5 | - B | A // A4 | D4 | F4",),
    ),
    Rule(
        id="9-8-prep",
        sentence="A ninth is not prepared by an octave.",
        advice="prepare the ninth by a third, fifth or sixth",
        source="Cherubini 1835; Bridge c. 1878, chapter 9",
        find=_ninth_without_octave,
        species=SPECIES,
        bad=("species: 4; cantus: bass; sing: soprano :: . E5 | - D | C // E4 | D4 | A4",),
        good=("species: 4; cantus: bass; sing: soprano :: . E5 | - D | C // C4 | D4 | A4",),
    ),
)
