"""What a run in one direction spans from end to end: tritones and sevenths."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

from trainer.rules.declare import SPECIES, Fault, Rule, Settings
from trainer.rules.intervals import name
from trainer.rules.piece import Piece
from trainer.rules.texture import Tone, runs


def sweeps(line: Sequence[Tone]) -> Iterator[tuple[Tone, ...]]:
    """Every run of a line in one direction, from turning point to turning point; repeated notes count once, a rest ends a run."""
    for phrase in runs(line):
        notes = [phrase[0]]
        for tone in phrase[1:]:
            if tone.dia == notes[-1].dia:
                notes[-1] = tone
                continue
            if len(notes) > 1 and (tone.dia - notes[-1].dia) * (notes[-1].dia - notes[-2].dia) < 0:
                yield tuple(notes)
                notes = [notes[-1]]
            notes.append(tone)
        if len(notes) > 1:
            yield tuple(notes)


def _tritone(piece: Piece, settings: Settings) -> Iterator[Fault]:
    for line in piece.texture.lines:
        for sweep in sweeps(line):
            called = name(sweep[0], sweep[-1])
            if len(sweep) > 2 and called in ("A4", "d5"):
                says = f"the run from {sweep[0].name} to {sweep[-1].name} ends on a {_WORDS[called]}"
                case = "diminished-fifth" if called == "d5" else "whole-inner" if _whole_inner(piece, sweep) else ""
                yield Fault(sweep[0].on, sweep[-1].on, sweep, says, case)


def _whole_inner(piece: Piece, sweep: tuple[Tone, ...]) -> bool:
    """Whether it is an inner voice in whole notes."""
    return 0 < sweep[0].voice < piece.parts - 1 and piece.species[sweep[0].voice] == "1"


def _seventh(piece: Piece, settings: Settings) -> Iterator[Fault]:
    for line in piece.texture.lines:
        for sweep in sweeps(line):
            letters = abs(sweep[-1].dia - sweep[0].dia)
            leaps = sum(abs(after.dia - before.dia) > 1 for before, after in itertools.pairwise(sweep))
            if letters in (6, 8) and leaps >= settings.number("leaps"):
                says = f"the run from {sweep[0].name} to {sweep[-1].name} spans {'a seventh' if letters == 6 else 'a ninth'}"
                yield Fault(sweep[0].on, sweep[-1].on, sweep, says)


_WORDS = {"A4": "tritone", "d5": "diminished fifth"}

RULES = (
    Rule(
        id="tritone-outline",
        sentence="A run in one direction does not begin and end on the two notes of a tritone.",
        advice="let the run go one step further, or turn one step earlier",
        source="Rockstro 1883, p. 743 (the limits of the run alone count)",
        find=_tritone,
        species=SPECIES,
        cases={
            "diminished-fifth": "its ends are a diminished fifth apart",
            "whole-inner": "an augmented fourth in an inner voice of whole notes",
        },
        yields_to=("augmented-leap", "diminished-leap", "chromatic-step"),
        bad=(
            "species: 3; cantus: bass; sing: soprano :: F4 G A B | A G F E | D // D4 | D | D",
            "species: 3; cantus: bass; sing: soprano :: A4 B D5 F | E D C B4 | C5 // D4 | E | C",
        ),
        good=("species: 3; cantus: bass; sing: soprano :: E4 F G A | B C5 B4 A | G // C4 | C | C",),
    ),
    Rule(
        id="seventh-outline",
        sentence="A run in one direction with two leaps in it does not span a seventh or a ninth.",
        advice="turn back after the first leap, or fill one of the leaps by steps",
        source="from memory",
        find=_seventh,
        species=SPECIES,
        parameters={"leaps": "2"},
        yields_to=("two-leaps-same-way",),
        bad=("species: 1; cantus: bass; sing: soprano :: D4 | F | G | C5 | B // D4 | D | E | A3 | G",),
        good=("species: 1; cantus: bass; sing: soprano :: D4 | E | F | G | A | B | C5 // D4 | D | E | A3 | G | G | A",),
    ),
)
