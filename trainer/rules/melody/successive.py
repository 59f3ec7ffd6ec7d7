"""What may follow a leap, and what a run: turning back, leaps on leaps."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from trainer.rules.declare import SPECIES, Fault, Rule, Settings
from trainer.rules.intervals import interval_words, name
from trainer.rules.piece import Piece
from trainer.rules.texture import HALF, Tone, runs


def _threes(piece: Piece) -> Iterator[tuple[Tone, Tone, Tone]]:
    """Every three tones running without a rest."""
    for line in piece.texture.lines:
        for run in runs(line):
            yield from zip(run, run[1:], run[2:], strict=False)


def _two_leaps(piece: Piece, settings: Settings) -> Iterator[Fault]:
    for first, middle, last in _threes(piece):
        one, two = middle.dia - first.dia, last.dia - middle.dia
        if abs(one) > 1 and abs(two) > 1 and one * two > 0:
            says = f"{first.name}, {middle.name}, {last.name}: two leaps {'up' if one > 0 else 'down'} running"
            yield Fault(
                first.on, last.on, (first, middle, last), says, two_leaps_case(one, two, first.voice == piece.parts - 1)
            )


def two_leaps_case(one: int, two: int, low: bool) -> str:
    """The case of two leaps of so many letters in one direction; *low* in the lowest voice."""
    span, sizes = abs(one + two), (abs(one), abs(two))
    if span > 7:
        return "over-octave"
    if span == 6:
        return "seventh-bass" if low else "seventh"
    if sizes in ((3, 4), (4, 3)):
        return "octave" if (one, two) == (4, 3) else ("octave-uneven-bass" if low else "octave-uneven")
    return "triad" if sizes in ((2, 2), (2, 3), (3, 2)) else ""


def _three_leaps(piece: Piece, settings: Settings) -> Iterator[Fault]:
    least = settings.number("leaps")
    for line in piece.texture.lines:
        for run in runs(line):
            leaps: list[Tone] = [run[0]]
            for before, after in pairwise(run):
                if abs(after.dia - before.dia) > 1:
                    leaps.append(after)
                    continue
                if len(leaps) > least:
                    yield _leaping(leaps)
                leaps = [after]
            if len(leaps) > least:
                yield _leaping(leaps)


def _leaping(tones: list[Tone]) -> Fault:
    names = ", ".join(tone.name for tone in tones)
    return Fault(tones[0].on, tones[-1].on, tuple(tones), f"{names}: {len(tones) - 1} leaps running")


def _larger_below(piece: Piece, settings: Settings) -> Iterator[Fault]:
    for first, middle, last in _threes(piece):
        one, two = middle.dia - first.dia, last.dia - middle.dia
        if abs(one) > 1 and abs(two) > 1 and one * two > 0 and one < two:
            says = f"{first.name}, {middle.name}, {last.name}: the smaller of the two leaps lies below"
            yield Fault(first.on, last.on, (first, middle, last), says)


def _recovery(piece: Piece, settings: Settings) -> Iterator[Fault]:
    least = settings.number("from") - 1
    for first, middle, last in _threes(piece):
        leap, back = middle.dia - first.dia, last.dia - middle.dia
        if abs(leap) < least or abs(leap) > 7 or back * leap == -abs(leap):
            continue
        leap_words = interval_words(name(first, middle))
        says = f"{first.name} to {middle.name}, {leap_words}, is followed by {last.name}"
        yield Fault(
            first.on, last.on, (first, middle, last), says, recovery_case(leap, back, _whole_of_several(piece, first))
        )


def _whole_of_several(piece: Piece, tone: Tone) -> bool:
    """Whether it is in whole notes, in three parts or more."""
    return piece.parts > 2 and piece.species[tone.voice] == "1"


def recovery_case(leap: int, back: int, whole: bool) -> str:
    """The case of a leap followed by *back*, both in letters; *whole* for a line of whole notes in three parts or more."""
    if leap * back > 0:
        wide = abs(leap) in (5, 7)
        stepped = abs(leap) == 5 and abs(back) == 1 and whole
        return "wide-goes-on" if wide and not stepped else "goes-on"
    return "third" if abs(back) == 2 else "loose"


def _after_run(piece: Piece, settings: Settings) -> Iterator[Fault]:
    least = settings.number("steps")
    for line in piece.texture.lines:
        for run in runs(line):
            for index in range(least, len(run) - 1):
                steps = [run[at + 1].dia - run[at].dia for at in range(index - least, index + 1)]
                way = steps[0]
                leaps_on = abs(way) == 1 and set(steps[:-1]) == {way} and steps[-1] * way > 1
                if leaps_on and piece.texture.weight(run[index + 1].on) >= HALF:
                    tones = run[index - least : index + 2]
                    says = f"after steps one way the line leaps on to {tones[-1].name} on an accent"
                    yield Fault(tones[0].on, tones[-1].on, tones, says)


RULES = (
    Rule(
        id="two-leaps-same-way",
        sentence="Two leaps do not follow one another in one direction, unless they make a triad or divide an octave.",
        advice="turn back by step after the first leap",
        source="Jeppesen 1931 and Bridge, Counterpoint, chapter 10; how often: counted in Fux 1725",
        find=_two_leaps,
        species=SPECIES,
        cases={
            "over-octave": "more than an octave together",
            "seventh": "a seventh together",
            "seventh-bass": "a seventh together, in the lowest voice",
            "octave": "an octave divided going up, the larger part below",
            "octave-uneven": "an octave divided otherwise",
            "octave-uneven-bass": "the same in the lowest voice",
            "triad": "thirds and a fourth that make a triad",
        },
        bad=(
            "species: 1; cantus: bass; sing: soprano :: D4 | G | C5 | B // D4 | E | A3 | G",
            "species: 1; cantus: bass; sing: soprano :: D4 | A4 | E5 | D // D4 | F | A3 | G",
        ),
        good=("species: 1; cantus: bass; sing: soprano :: D4 | G | F | B // D4 | E | A3 | G",),
    ),
    Rule(
        id="three-leaps",
        sentence="A voice does not leap three times running.",
        advice="fill one of the leaps by step",
        source="Bridge, Counterpoint, chapter 10; Jeppesen 1931",
        find=_three_leaps,
        species=SPECIES,
        parameters={"leaps": "3"},
        bad=("species: 1; cantus: bass; sing: soprano :: D4 | G | E | A | G // D4 | E | A3 | F | G",),
        good=("species: 1; cantus: bass; sing: soprano :: D4 | G | E | F | G // D4 | E | A3 | F | G",),
    ),
    Rule(
        id="larger-below",
        sentence="Of two leaps running in one direction the larger lies below.",
        advice="change the order of the two leaps",
        source="Jeppesen 1931, by a digest",
        find=_larger_below,
        species=SPECIES,
        yields_to=("two-leaps-same-way",),
        bad=(
            "species: 1; cantus: bass; sing: soprano :: D4 | F | B | A // D4 | A3 | G | F",
            "species: 1; cantus: bass; sing: soprano :: A4 | E | C | D // D4 | A3 | A | B",
        ),
        good=("species: 1; cantus: bass; sing: soprano :: D4 | G | B | A // D4 | E | G | F",),
    ),
    Rule(
        id="leap-recovery",
        sentence="After a large leap a voice turns back, by step.",
        advice="let the next note step back inside the leap",
        source="Fux 1725; Jeppesen 1931",
        find=_recovery,
        species=SPECIES,
        cases={
            "third": "it turns back by a third",
            "loose": "it turns back by more, or repeats the note",
            "goes-on": "it goes on the same way (after a sixth only in whole notes above two parts, by step)",
            "wide-goes-on": "after a sixth or an octave it goes on the same way",
        },
        parameters={"from": "5"},
        bad=(
            "species: 1; cantus: bass; sing: soprano :: D4 | D5 | E | D // D4 | B3 | C | D",
            "species: 1; cantus: bass; sing: soprano :: E4 | C5 | D | E // C4 | A3 | B | C",
            "species: 1; cantus: bass; sing: soprano :: D4 | D5 | B | A // D4 | B3 | G | F",
        ),
        good=("species: 1; cantus: bass; sing: soprano :: D4 | D5 | C | B // D4 | B3 | A | G",),
    ),
    Rule(
        id="leap-after-run",
        sentence="After several steps in one direction a voice does not leap on in it to an accented note.",
        advice="turn before the leap, or put the leap on a weak beat",
        source="Bridge, Counterpoint, chapter 3",
        find=_after_run,
        species=SPECIES,
        parameters={"steps": "3"},
        bad=("species: 3; cantus: bass; sing: soprano :: D4 E F G | C5 B A G | F // D4 | A3 | D",),
        good=("species: 3; cantus: bass; sing: soprano :: D4 E F G | A B C5 A | F // D4 | A3 | D",),
    ),
)
