"""What an exercise is wanted for: a level, a crux, a compass, and weak spots to be met often. Wishes typed, judged and compared.

A level, a crux and a compass are musts; weak spots are weighed: of two exercises with all musts the one is nearer that has more of
them a note.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import TypeVar

from trainer.aim.spots import INTERVAL, MOST_WEIGHT, SIZES, Spot, counted, often, read_spot
from trainer.compose.wish import WishError
from trainer.grading import HIGHEST_LEVEL, LOWEST_LEVEL
from trainer.grading.crux import all_kinds
from trainer.grading.declare import Crux
from trainer.grading.grade import Grade
from trainer.score.pitch import Pitch
from trainer.singable.part import Part

T = TypeVar("T")

_LEVEL = re.compile(r"level (\d{1,2})(?: ?(?:-|to) ?(\d{1,2}))?\Z")
_COMPASS = re.compile(r"compass ([a-g](?:##?|bb?)?\d) ?(?:-|to| ) ?([a-g](?:##?|bb?)?\d)\Z")

WHERE = "--for"

LEAST_LETTERS = 5
"""A line that climbs and comes home takes a sixth at least (our own)."""


@dataclass(frozen=True, slots=True)
class Aim:
    """All wishes for one exercise.

    Parameters
    ----------
    levels : range or None
    crux : tuple of (phrase, kind)
        As typed, with the id of the kind that it means.
    compass : (Pitch, Pitch) or None
        Lowest and highest, in the singer's octave.
    spots : tuple of Spot
    """

    levels: range | None = None
    crux: tuple[tuple[str, str], ...] = ()
    compass: tuple[Pitch, Pitch] | None = None
    spots: tuple[Spot, ...] = ()


def read_aim(text: str) -> Aim:
    """The aim typed as wishes between commas, such as "level 4-6, one big leap, compass A3-D5, sixths up x3, degree 7".

    Raises
    ------
    WishError
        For a wish that is none, or that contradicts another.
    """
    levels: range | None = None
    crux: list[tuple[str, str]] = []
    compass: tuple[Pitch, Pitch] | None = None
    spots: list[Spot] = []
    for typed in (" ".join(part.lower().split()) for part in text.split(",")):
        kind = _phrases().get(typed)
        spot = read_spot(typed)
        if spot is not None:
            spots.append(spot)
        elif kind is not None:
            crux.append((typed, kind))
        elif typed.startswith("level"):
            levels = _once(levels, _levels(typed), "level")
        elif typed.startswith("compass"):
            compass = _once(compass, _compass(typed), "compass")
        else:
            raise WishError(
                f"{typed!r} is not a wish" if typed else "there is a wish without words", WHERE, _meant(typed)
            )
    aim = Aim(levels, tuple(crux), compass, tuple(spots))
    for what, do in _against_itself(aim):
        raise WishError(what, WHERE, do)
    return aim


def missed(aim: Aim, grade: Grade) -> tuple[str, ...]:
    """The musts that a graded line does not keep, each as it would be typed."""
    found = []
    if aim.levels is not None and grade.level not in aim.levels:
        found.append(level_words(aim.levels))
    there = {crux.kind: crux for crux in grade.crux}
    found += [typed for typed, kind in aim.crux if not _has(typed, kind, there)]
    if aim.compass is not None and octaves_away(grade.compass, aim.compass) is None:
        found.append(f"compass {aim.compass[0]}-{aim.compass[1]}")
    return tuple(found)


def octaves_away(line: str, compass: tuple[Pitch, Pitch]) -> int | None:
    """By how many octaves a line from lowest to highest ("D#3 C#4") must be moved to lie in a compass; None when no octave does."""
    lowest, highest = (Pitch.parse(name).midi for name in line.split())
    octaves = -(-(compass[0].midi - lowest) // 12)
    return octaves if highest + 12 * octaves <= compass[1].midi else None


def nearness(aim: Aim, grade: Grade, part: Part) -> tuple[int, Fraction, int]:
    """How near a graded line comes to the aim, greater is nearer: musts kept, weak spots a note, how near the level is."""
    found = counted(part)
    spots = sum(spot.weight * often(spot, found) for spot in aim.spots)
    off = 0
    if aim.levels is not None and grade.level not in aim.levels:
        off = min(abs(grade.level - aim.levels[0]), abs(grade.level - aim.levels[-1]))
    return -len(missed(aim, grade)), Fraction(spots, max(1, len(part.line))), -off


def _has(typed: str, kind: str, there: Mapping[str, Crux]) -> bool:
    crux = there.get(kind)
    return crux is not None and not (typed.startswith("one ") and crux.times != 1)


def _phrases() -> dict[str, str]:
    return {phrase: kind.id for kind in all_kinds().values() for phrase in kind.asked}


def _meant(typed: str) -> str:
    known = [*_phrases(), *SIZES, "level 4", "compass A3-D5", "degree 7", "clashes"]
    bare, weight, _ = typed.rpartition(" x")
    if weight and read_spot(bare.rstrip()) is not None:
        return f"weights are x1 to x{MOST_WEIGHT}, as in {bare.rstrip()} x3"
    near = difflib.get_close_matches(typed, known, n=2, cutoff=0.6)
    if near:
        return f"did you mean {' or '.join(near)}?"
    return "as in 'level 4-6, one big leap, compass A3-D5, sixths up x3, degree 7, clashes'"


def _once(before: T | None, value: T, name: str) -> T:
    if before is not None:
        raise WishError(f"two wishes for the {name}", WHERE, "keep one of them")
    return value


def _levels(typed: str) -> range:
    match = _LEVEL.match(typed)
    first, last = (int(match[1]), int(match[2] or match[1])) if match else (0, 0)
    if not LOWEST_LEVEL <= first <= last <= HIGHEST_LEVEL:
        raise WishError(
            f"{typed!r} is not a level", WHERE, f"give {LOWEST_LEVEL} to {HIGHEST_LEVEL}, as in level 4 or level 4-6"
        )
    return range(first, last + 1)


def level_words(levels: range) -> str:
    """A level, or several, as typed."""
    return f"level {levels[0]}" if len(levels) == 1 else f"level {levels[0]}-{levels[-1]}"


def _compass(typed: str) -> tuple[Pitch, Pitch]:
    match = _COMPASS.match(typed)
    if match is None:
        raise WishError(
            f"{typed!r} is not a compass", WHERE, "give the lowest and the highest note, as in compass A3-D5"
        )
    low, high = (Pitch.parse(name[0].upper() + name[1:]) for name in match.groups())
    if high.diatonic - low.diatonic < LEAST_LETTERS:
        raise WishError(
            f"compass {low}-{high} is too narrow for a line", WHERE, "give a sixth at least, as in compass A3-F4"
        )
    return low, high


def _against_itself(aim: Aim) -> Iterator[tuple[str, str]]:
    """Wishes that clash with one another, whatever the layout."""
    kinds = {kind: typed for typed, kind in aim.crux}
    only = kinds.get("steps-only")
    for other in ("big-leap", "small-leaps", "fourths", "odd-leap", "leaps-running"):
        if only and other in kinds:
            yield f"{only!r} clashes with {kinds[other]!r}", "give up one of the two"
    for spot in aim.spots:
        if only and spot.kind == INTERVAL and spot.what != 1:
            yield f"{only!r} clashes with {spot.typed!r}", "give up one of the two"
        if spot.kind == INTERVAL and spot.what == 6:
            yield (
                f"no rule set here lets a line leap a seventh, so {spot.typed!r} cannot be had",
                "ask for sixths or octaves",
            )
        if aim.compass and spot.kind == INTERVAL and isinstance(spot.what, int):
            low, high = aim.compass
            if high.diatonic - low.diatonic < spot.what:
                yield f"compass {low}-{high} has no room for {spot.typed!r}", "give a wider compass"
    if "small-leaps" in kinds and "big-leap" in kinds:
        yield f"{kinds['small-leaps']!r} clashes with {kinds['big-leap']!r}", "give up one of the two"
