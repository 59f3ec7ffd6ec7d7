"""Single intervals of one voice: which leaps, augmented and diminished intervals and chromatic steps it may make."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from trainer.rules.declare import EVERY, SPECIES, Fault, Find, Rule, Settings
from trainer.rules.intervals import interval_words, name
from trainer.rules.piece import Piece
from trainer.rules.texture import Tone


def interval_rule(before: Tone, after: Tone) -> str:
    """Id of the rule that an interval within a phrase breaks, "" when it is one of those that are sung."""
    letters, called = abs(after.dia - before.dia), name(before, after)
    if letters == 0:
        return "chromatic-step" if before.midi != after.midi else ""
    if called.startswith("A"):
        return "augmented-leap"
    if called in ("d4", "d5", "d7"):
        return "diminished-leap"
    if letters == 6 or letters > 7:
        return "seventh-ninth-leap"
    if called == "M6" or (called == "m6" and after.dia < before.dia):
        return "sixth-leap"
    return "" if called in ("m2", "M2", "m3", "M3", "P4", "P5", "m6", "P8") else "leap-size"


def _turned(piece: Piece, before: Tone, after: Tone) -> Tone | None:
    """The next note when it turns back, None when it does not or there is none."""
    following = piece.texture.after(after)
    if following is None or (following.dia - after.dia) * (after.dia - before.dia) >= 0:
        return None
    return following


def _case(piece: Piece, rule: str, before: Tone, after: Tone) -> str:
    following = _turned(piece, before, after)
    if rule == "sixth-leap" and name(before, after) == "m6":
        return "minor-down-turned" if following else "minor-down"
    if rule == "diminished-leap" and following and abs(following.dia - after.dia) == 1:
        return "turned"
    return ""


def _finder(rule: str) -> Find:
    def find(piece: Piece, settings: Settings) -> Iterator[Fault]:
        for line in piece.texture.lines:
            for before, after in pairwise(line):
                if after.midi == before.midi and after.dia == before.dia:
                    continue
                parted = before.end < after.on
                if interval_rule(before, after) != rule or (parted and rule != "seventh-ninth-leap"):
                    continue
                case = "over-rest" if parted else _case(piece, rule, before, after)
                way = "up" if after.midi > before.midi else "down"
                says = f"{before.name} to {after.name} is {interval_words(name(before, after))} {way}"
                yield Fault(before.on, after.on, (before, after), says, case)

    return find


_ADVICE = "go by step, or fill the leap with the notes between"

RULES = (
    Rule(
        id="leap-size",
        sentence="A voice moves by seconds, major and minor thirds, perfect fourths and fifths, minor sixths up and octaves.",
        advice=_ADVICE,
        source="Fux 1725; Rockstro 1883",
        find=_finder("leap-size"),
        species=SPECIES,
        bad=("species: 1; cantus: bass; sing: soprano :: C#5 | Eb | D // A4 | C | D",),
        good=("species: 1; cantus: bass; sing: soprano :: C5 | Ab5 | G // A4 | C | D",),
    ),
    Rule(
        id="sixth-leap",
        sentence="A voice does not leap a major sixth, nor a minor sixth down.",
        advice="take the octave's other note, or break the leap in two",
        source="Cherubini 1835, rule 15; Rockstro 1883",
        find=_finder("sixth-leap"),
        species=SPECIES,
        cases={
            "minor-down-turned": "a minor sixth down that turns back at once",
            "minor-down": "a minor sixth down that goes on or ends there",
        },
        bad=(
            "species: 1; cantus: bass; sing: soprano :: C5 | A5 | G // A4 | C | D",
            "species: 1; cantus: bass; sing: soprano :: C5 | E4 | D // A4 | C | D",
            "species: 1; cantus: bass; sing: soprano :: C5 | E4 | F // A4 | C | D",
        ),
        good=("species: 1; cantus: bass; sing: soprano :: E4 | C5 | B // A3 | C | D",),
    ),
    Rule(
        id="seventh-ninth-leap",
        sentence="A voice does not leap a seventh, nor further than an octave.",
        advice="put one of the two notes in the other octave, or go by way of a note between",
        source="Rockstro 1883",
        find=_finder("seventh-ninth-leap"),
        species=SPECIES,
        cases={"over-rest": "across a rest"},
        bad=(
            "species: 1; cantus: bass; sing: soprano :: D4 | C5 | B // D4 | E | D",
            "species: 1; cantus: bass; sing: soprano :: D4 | E5 | D // D4 | E | D",
        ),
        good=("species: 1; cantus: bass; sing: soprano :: D4 | D5 | C // D4 | E | D",),
    ),
    Rule(
        id="augmented-leap",
        sentence="A voice makes no augmented interval.",
        advice="alter the note back, or take the interval the other way as a diminished one",
        source="Rockstro 1883; Fux 1725",
        find=_finder("augmented-leap"),
        species=EVERY,
        bad=("F4 | B | C5 // D4 | D | C", "F4 | G# | A // D4 | D | C"),
        good=("B4 | F5 | E // D4 | D | C", "F4 | G | A // D4 | D | C"),
    ),
    Rule(
        id="diminished-leap",
        sentence="A voice makes no diminished leap.",
        advice="go by step; where the set allows it, turn back by step inside the leap",
        source="Rockstro 1883; turning back inside: from memory",
        find=_finder("diminished-leap"),
        species=SPECIES,
        cases={"turned": "turned back by step inside the leap"},
        bad=(
            "species: 1; cantus: bass; sing: soprano :: B4 | F5 | E // D4 | D | C",
            "species: 1; cantus: bass; sing: soprano :: G#4 | C5 | B // E4 | A3 | G",
        ),
        good=("species: 1; cantus: bass; sing: soprano :: C5 | F5 | E // D4 | D | C",),
    ),
    Rule(
        id="chromatic-step",
        sentence="A voice does not go from a note to the same letter altered.",
        advice="keep one of the two forms, or give the second to a later note",
        source="Rockstro 1883",
        find=_finder("chromatic-step"),
        species=SPECIES,
        bad=("species: 1; cantus: bass; sing: soprano :: Bb4 | B | C5 // D4 | D | C",),
        good=("species: 1; cantus: bass; sing: soprano :: Bb4 | C5 | B // D4 | A3 | G",),
    ),
)
