"""Leaps by their size, and whether another voice has just sounded where they go."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from trainer.rules.intervals import interval_words, name
from trainer.singable.declare import ONE, TWO, Found, Kind
from trainer.singable.part import Part

POINTS = {
    "m3": ONE,
    "M3": ONE,
    "P4": Fraction(3, 2),
    "P5": Fraction(3, 2),
    "m6": Fraction(3),
    "M6": Fraction(7, 2),
    "P8": Fraction(5, 2),
    "m7": Fraction(5),
    "M7": Fraction(5),
    "d5": Fraction(4),
    "A4": Fraction(6),
    "A2": Fraction(5),
    "A1": TWO,
}
FIFTH_DOWN = TWO
STEPS = frozenset({"P1", "m2", "M2"})
OTHER = Fraction(6)
"""Any other altered interval, and whatever goes further than an octave."""

TOLD_FROM = Fraction(5, 2)
"""A sixth and more is told, and whatever is augmented or diminished; thirds to fifths are a singer's bread."""


def points_of(called: str, upwards: bool) -> Fraction:
    """What an interval costs by itself."""
    if called in STEPS:
        return Fraction(0)
    if called == "P5" and not upwards:
        return FIFTH_DOWN
    return POINTS.get(called, OTHER)


def _leap(part: Part) -> Iterator[Found]:
    for before, after in part.steps():
        called, up = name(before, after), after.midi > before.midi
        points = points_of(called, up)
        if not points or called in ("A1", "A2"):
            continue
        way = "up" if up else "down"
        says = f"{interval_words(called)} {way}, {before.name} to {after.name}"
        yield Found(after, points, says if points >= TOLD_FROM else "")


def _augmented_step(part: Part) -> Iterator[Found]:
    for before, after in part.steps():
        called = name(before, after)
        if called in ("A1", "A2"):
            what = "an augmented second" if called == "A2" else "a chromatic semitone"
            yield Found(after, POINTS[called], f"{what}, {before.name} to {after.name}")


def _unheard(part: Part) -> Iterator[Found]:
    for before, after in part.steps():
        if abs(after.dia - before.dia) < 3 or not part.others:
            continue
        if after.midi % 12 not in part.heard(after.on - part.beat(after.on), after.on):
            yield Found(after, ONE, f"leaps to {after.name}, which no other voice has just sung")


KINDS = (
    Kind(
        id="leap",
        sentence="A leap has to be heard before it is sung, and the wider or odder the harder.",
        advice="sing the note between in your head first; in writing, fill the leap or take the note in the other octave",
        source="common practice, no source; how far size alone decides is disputed",
        find=_leap,
        bad=("C4 | A4 | G", "C5 | F#4 | G", "C4 | B4 | C5", "C4 | C5 | B4", "B3 | F4 | E", "C4 | E5 | D"),
        good=("C4 | D | E", "C4 C | D D", "C4 . | . A"),
    ),
    Kind(
        id="augmented-step",
        sentence="A step that is larger than a second, or two forms of one letter side by side, has no hold in the scale.",
        advice="think of the note as belonging to what follows; in writing, alter the note before it too",
        source="common practice, no source",
        find=_augmented_step,
        bad=("F4 | G# | A", "F4 | F# | G"),
        good=("F4 | G | A", "E4 | F | F"),
    ),
    Kind(
        id="unheard-leap",
        sentence="A leap to a note that no voice has just had must come from the singer alone.",
        advice="find it from the chord: hum the note that you know and count up the scale",
        source="common practice, no source",
        find=_unheard,
        bad=("E4 | A | G // C4 | C | C",),
        good=("C4 | G | E // E3 G | C | C", "C4 | E | D // C4 | C | B3"),
    ),
)
