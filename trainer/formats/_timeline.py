"""Puts written measures into sung time: onsets, meters, signatures, tempi and printed numbers.

Conventions: everything that comes out is in quarters.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from fractions import Fraction
from typing import TypeVar

from trainer.errors import ScoreError
from trainer.formats._tempi import followed
from trainer.formats._written import Measure, Ticks, in_quarters
from trainer.score.model import Key
from trainer.score.time import DEFAULT_QPM, Meter, TempoMap

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Timeline:
    """Where everything falls; ``onsets`` has one entry a sung measure.

    ``guessed`` is a meter that the file did not give, ``left_out`` what nobody could follow.
    """

    onsets: tuple[Fraction, ...]
    meters: tuple[tuple[Fraction, Meter], ...]
    keys: tuple[tuple[Fraction, Key], ...]
    tempo: TempoMap
    pickup_quarters: Fraction
    printed: tuple[str, ...]
    guessed: Meter | None
    left_out: tuple[str, ...]


def timeline_of(measures: tuple[Measure, ...], order: list[tuple[int, int]], path: str) -> Timeline:
    """Time for the measures in sung order. Raises ScoreError for music without a meter, or a bar that no meter fits."""
    guessed = _unsaid_meter(measures, path) if all(measure.meter is None for measure in measures) else None
    meters = _meters_in_force(measures, guessed, path)
    lengths = _lengths(measures, meters)
    onsets: list[Fraction] = []
    changes: list[tuple[Fraction, Meter]] = []
    at, cut = Fraction(0), True
    for position, (index, _) in enumerate(order):
        onsets.append(at)
        if cut or meters[index] != changes[-1][1]:
            changes.append((at, meters[index]))
        cut = position > 0 and lengths[index] < meters[index].bar_quarters
        at += lengths[index]
    first, _ = order[0]
    short = lengths[first] < meters[first].bar_quarters
    tempi, left_out = followed(_changes([measure.tempi for measure in measures], order, onsets))
    return Timeline(
        tuple(onsets),
        tuple(changes),
        tuple(_changes([measure.keys for measure in measures], order, onsets)),
        _tempo(tempi),
        lengths[first] if short else Fraction(0),
        _printed(measures, order, first_number=0 if short else 1),
        guessed,
        left_out,
    )


def _unsaid_meter(measures: tuple[Measure, ...], path: str) -> Meter:
    """The meter of measures that are all as long as one another, the first and the last apart."""
    for number, measure in enumerate(measures, start=1):
        if measure.unmetered:
            raise _without_meter(measure.where(path, number))
    inner = [in_quarters(measure.filled) for measure in (measures[1:-1] or measures)]
    (length, count), *_ = Counter(inner).most_common(1)
    edges = [in_quarters(measure.filled) for measure in (measures[0], measures[-1])]
    if count < len(inner) or length <= 0 or max(edges) > length:
        raise _without_meter(path)
    return _stretched(Meter(1, 4), length, path)


def _without_meter(where: str) -> ScoreError:
    return ScoreError(
        "the music has no meter, and heldline counts bars and beats",
        where,
        "write a meter into the file, such as 4/4, with bar lines to match",
    )


def _meters_in_force(measures: tuple[Measure, ...], guessed: Meter | None, path: str) -> list[Meter]:
    """The meter of each written measure, stretched where it holds more."""
    # what comes before the first meter is said, if anything, is counted by that meter
    meter = guessed or next(measure.meter for measure in measures if measure.meter is not None)
    found = []
    for number, measure in enumerate(measures, start=1):
        where = measure.where(path, number)
        if measure.unmetered and measure.filled:
            raise _without_meter(where)
        meter = measure.meter or meter
        filled = in_quarters(measure.filled)
        found.append(meter if filled <= meter.bar_quarters else _stretched(meter, filled, where))
    return found


def _stretched(meter: Meter, length: Fraction, where: str) -> Meter:
    for unit in (meter.unit, 8, 16, 32):
        beats = length * unit / 4
        if unit >= meter.unit and beats.denominator == 1 and beats <= 64:
            return Meter(int(beats), unit)
    raise ScoreError(
        f"a measure of {meter} holds {float(length):g} quarters", where, "correct its note values, and export again"
    )


def _lengths(measures: tuple[Measure, ...], meters: list[Meter]) -> list[Fraction]:
    """Length of each written measure: what fills it, but an empty one and the last count whole."""
    found = []
    last = len(measures) - 1
    for index, (measure, meter) in enumerate(zip(measures, meters, strict=True)):
        filled = in_quarters(measure.filled)
        short = 0 < filled < meter.bar_quarters
        # a section that is sung again may end with the bar that its pickup completes
        counts = index < last or measure.repeat_times > 0 or (last == 0 and measure.implicit)
        found.append(filled if short and counts else meter.bar_quarters)
    return found


def _changes(
    inside: list[dict[Ticks, T]], order: list[tuple[int, int]], onsets: list[Fraction]
) -> list[tuple[Fraction, T]]:
    """Changes in sung order from those in each written measure; what held at a measure's start is restored by a repeat.

    Of two at one place, the end of a measure and the start of the next, the later holds.
    """
    held: list[T | None] = []
    current: T | None = None
    for changes in inside:
        held.append(current)
        for at in sorted(changes):
            current = changes[at]
    placed: dict[Fraction, T] = {}
    for (index, _), onset in zip(order, onsets, strict=True):
        start = held[index]
        for at, value in (({} if start is None else {0: start}) | inside[index]).items():
            placed[onset + in_quarters(at)] = value
    found: list[tuple[Fraction, T]] = []
    for at, value in sorted(placed.items(), key=lambda change: change[0]):
        if not found or found[-1][1] != value:
            found.append((at, value))
    return found


def _tempo(points: list[tuple[Fraction, Fraction]]) -> TempoMap:
    if not points or points[0][0] > 0:
        points = [(Fraction(0), DEFAULT_QPM), *points]
    return TempoMap(tuple(points))


def _printed(measures: tuple[Measure, ...], order: list[tuple[int, int]], *, first_number: int) -> tuple[str, ...]:
    """The file's own numbers; empty where they are the count."""
    counted = [str(number) for number in range(first_number, first_number + len(order))]
    own = [measures[index].printed or counted[position] for position, (index, _) in enumerate(order)]
    return () if own == counted else tuple(own)
