"""Dissonances that are no suspensions: on the accent, off the accent, as cambiata and double neighbour, between moving voices.

Fux 1725 by his worked figures (CC0 transcription); Rockstro 1883, Strict Counterpoint; Bridge c. 1878, chapters 3 and 7 to 12;
Lehmann, Simple Counterpoint in Forty Lessons.
"""

from __future__ import annotations

from collections.abc import Iterator

from trainer.rules.declare import SPECIES, Fault, Find, Rule, Settings
from trainer.rules.dissonance import BROKEN_CAMBIATA, CAMBIATA, DOUBLE_NEIGHBOUR, Dissonance
from trainer.rules.intervals import interval_words, name
from trainer.rules.piece import Piece


def dissonance_finder(rule: str) -> Find:
    """What finds the dissonances that break one rule."""

    def find(piece: Piece, settings: Settings) -> Iterator[Fault]:
        for one, broken in piece.breaches:
            if broken.rule == rule:
                tones = (one.tone, *one.against)
                yield Fault(
                    one.at, _end(piece, rule, one), tones, told(one), broken.case, whose=_whose(piece, rule, one)
                )

    return find


_FIGURES = frozenset({"cambiata", "cambiata-broken", "double-neighbour"})
_OWN = _FIGURES | {"dissonance-weak", "dissonance-left-by-leap"}


def _end(piece: Piece, rule: str, one: Dissonance) -> int:
    """A figure goes on to its next note; anything else is one moment."""
    after = piece.texture.after(one.tone)
    figure = rule in _FIGURES and one.shape in (CAMBIATA, BROKEN_CAMBIATA, DOUBLE_NEIGHBOUR)
    return after.on if figure and after is not None else one.at


def _whose(piece: Piece, rule: str, one: Dissonance) -> tuple[int, ...]:
    """A moving note's own voice where it alone is at fault; every voice of an augmented triad; else all that clash."""
    if rule in _OWN:
        return (one.tone.voice,)
    here = piece.texture.slice_at(one.at)
    return tuple(tone.voice for tone in here.sounding) if rule == "augmented-triad" and here is not None else ()


def told(one: Dissonance) -> str:
    """What clashes, and how the dissonant note moves."""
    against = ", ".join(f"{interval_words(name(one.tone, other))} with {other.name}" for other in one.against)
    return f"{one.tone.name} is dissonant ({against}): {one.shape}"


RULES = (
    Rule(
        id="all-consonant",
        sentence="Whole notes sounding together are all consonant.",
        advice="move one of the two to a third, fifth, sixth or octave over the bass",
        source="Fux 1725; Rockstro 1883, Strict Counterpoint",
        find=dissonance_finder("all-consonant"),
        species=SPECIES,
        yields_to=("seventh-allowed",),
        cases={
            "seventh": "a seventh chord in four parts",
            "diminished-fourth": "a diminished fourth or augmented fifth between upper voices over a consonant bass",
        },
        bad=(
            "species: 1; cantus: bass; sing: soprano :: A4 | C5 | B4 // D4 | D4 | E4",
            "species: 1; cantus: bass; sing: soprano :: A4 | B4 | A4 // D4 | C4 | D4",
        ),
        good=("species: 1; cantus: bass; sing: soprano :: A4 | B4 | C5 // D4 | E4 | E4",),
    ),
    Rule(
        id="fourth-vs-bass",
        sentence="A fourth over the lowest voice is a dissonance.",
        advice="take the third or the fifth over the bass instead",
        source="Fux 1725; Rockstro 1883, Strict Counterpoint",
        find=dissonance_finder("fourth-vs-bass"),
        species=SPECIES,
        bad=("species: 1; cantus: bass; sing: soprano :: A4 | G4 | A4 // D4 | D4 | F4",),
        good=("species: 1; cantus: bass; sing: soprano :: D5 | D5 | D5 // A4 | G4 | B4 // D4 | B3 | G3",),
    ),
    Rule(
        id="dissonance-struck",
        sentence="What is struck on the accent of a bar is consonant.",
        advice="strike a consonance there, or tie the note over from the bar before and let it fall a step",
        source="Fux 1725; Rockstro 1883; Cherubini 1835",
        find=dissonance_finder("dissonance-struck"),
        species=SPECIES,
        yields_to=("seventh-allowed",),
        cases={
            "restruck": "a suspension struck again instead of tied",
            "seventh": "a seventh chord in four parts",
            "diminished-fourth": "a diminished fourth or augmented fifth between upper voices over a consonant bass",
            "pedal": "over a bass held for two bars or more",
        },
        bad=(
            "species: 2; cantus: bass; sing: soprano :: A4 F | G A | C5 // D4 | F4 | E4",
            "species: 3; cantus: bass; sing: soprano :: A4 G F E | G A B C | C5 // D4 | F4 | E4",
        ),
        good=("species: 2; cantus: bass; sing: soprano :: A4 F | A G | A // D4 | F4 | D4",),
    ),
    Rule(
        id="dissonance-weak",
        sentence="Off the accent a dissonance passes by step, or turns back by step on the second or fourth quarter.",
        advice="fill a third by step in one direction, or take a consonance",
        source="Fux 1725; Rockstro 1883; Bridge c. 1878, chapter 3",
        find=dissonance_finder("dissonance-weak"),
        species=SPECIES,
        cases={
            "neighbour": "a neighbour on the weak half",
            "accented-passing": "passing on the third quarter between consonances",
            "accented-neighbour": "a neighbour on the third quarter",
            "anticipation": "an anticipation of the next note",
            "pedal": "over a bass held for two bars or more",
            "diminished-fourth": "a diminished fourth or augmented fifth with an upper voice over a consonant bass",
            "after-tie": "a quarter leapt to from a tie, falling a step to a consonance",
        },
        bad=(
            "species: 2; cantus: bass; sing: soprano :: A4 E | D E | C5 // D4 | F4 | E4",
            "species: 2; cantus: bass; sing: soprano :: D5 A | C5 B | C5 // D4 | A4 | A4",
            "species: 3; cantus: bass; sing: soprano :: A4 D5 E5 D5 | F5 // D4 | D4",
        ),
        good=(
            "species: 2; cantus: bass; sing: soprano :: A4 G | F E | D // D4 | D4 | D4",
            "species: 3; cantus: bass; sing: soprano :: A4 G A F | G // D4 | E4",
        ),
    ),
    Rule(
        id="dissonance-left-by-leap",
        sentence="A dissonance is left by step.",
        advice="go on by step in the same direction",
        source="Fux 1725; Rockstro 1883; Lehmann",
        find=dissonance_finder("dissonance-left-by-leap"),
        species=SPECIES,
        bad=(
            "species: 2; cantus: bass; sing: soprano :: A4 G4 | E4 // F4 | A3",
            "species: 3; cantus: bass; sing: soprano :: A4 G D5 F | A // D4 | D4",
        ),
        good=("species: 2; cantus: bass; sing: soprano :: A4 G4 | F4 // F4 | A3",),
    ),
    Rule(
        id="cambiata-broken",
        sentence="A dissonant second quarter may leap a third on only as a cambiata: down a step, down a third, and back up by step.",
        advice="let the note after the leap turn back by step, and go on one step more",
        source="Fux 1725; Rockstro 1883; Jeppesen 1931, from memory",
        find=dissonance_finder("cambiata-broken"),
        species=SPECIES,
        cases={"inverted": "the same figure upwards"},
        bad=(
            "species: 3; cantus: bass; sing: soprano :: C5 B G E | F // C4 | D4",
            "species: 3; cantus: bass; sing: soprano :: E4 F A G | F // C4 | D4",
        ),
        good=("species: 3; cantus: bass; sing: soprano :: C5 B G A | B // C4 | G4",),
    ),
    Rule(
        id="cambiata",
        sentence="A cambiata has five notes: a step down, a third down, and two steps up again.",
        advice="go on one step more after it",
        source="Fux 1725 (fifteen complete ones, three of them without the second step up); Jeppesen 1931, from memory",
        find=dissonance_finder("cambiata"),
        species=SPECIES,
        cases={"short": "four notes, the fifth not a step on"},
        bad=("species: 3; cantus: bass; sing: soprano :: C5 B G A | F // C4 | D4",),
        good=("species: 3; cantus: bass; sing: soprano :: C5 B G A | B // C4 | G4",),
    ),
    Rule(
        id="double-neighbour",
        sentence="Two neighbours of one note may follow each other by a leap of a third, once in an exercise.",
        advice="use one neighbour only",
        source="a university's species grading guide; rare in Fux 1725",
        find=dissonance_finder("double-neighbour"),
        species=SPECIES,
        bad=("species: 3; cantus: bass; sing: soprano :: G4 A F G | A // C4 | D4",),
        good=("species: 3; cantus: bass; sing: soprano :: G4 A G F | E // C4 | C4",),
    ),
    Rule(
        id="clash-of-moving",
        sentence="Notes of two moving voices struck together off the accent are consonant with each other.",
        advice="let one of the two wait, or move both by step towards or away from each other",
        source="Bridge c. 1878, chapters 10 and 12; Cherubini 1835, combined species",
        find=dissonance_finder("clash-of-moving"),
        species=SPECIES,
        cases={
            "contrary": "both by step in contrary motion",
            "passing": "passing while a suspension resolves",
        },
        bad=("cantus: bass; sing: alto; species: 3 :: . C5 | B4 D5 | C5 // C4 D E F | G A E F | E // C4 | G3 | C4",),
        good=("cantus: bass; sing: alto; species: 3 :: . C5 | B4 D5 | C5 // C4 D E F | G A B A | G // C4 | G3 | C4",),
    ),
)
