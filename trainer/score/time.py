"""Music time: exact fractions of a quarter note, meters, bars and tempo.

Conventions: *quarters* count from the first sounding place of the score (a pickup included) as ``Fraction``. A *beat* is the lower
figure of the meter and is only for people: bar 3 beat 2.0. A pickup is bar 0; ``Bars`` alone turns quarters into bars and beats.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

DEFAULT_QPM = Fraction(60)
"""A score without a tempo is taken at sixty quarters a minute."""

_BARS_TOLD, _NUMBER = re.compile(r"\b[Bb]ars? (\d++(?:(?:, | and | to )\d++)*+)"), re.compile(r"\d+")
SLOWEST_QPM, FASTEST_QPM = 1, 1000
"""Quarters a minute that a file may ask for (our own: ten times beyond what anybody beats)."""


@dataclass(frozen=True, slots=True)
class Meter:
    """Upper and lower figure, such as 4/4 or 6/8."""

    beats: int
    unit: int

    def __post_init__(self) -> None:
        """Refuse figures that no meter has."""
        if not 1 <= self.beats <= 64 or self.unit not in (1, 2, 4, 8, 16, 32):
            raise ValueError(f"{self.beats}/{self.unit} is not a meter")

    @classmethod
    def parse(cls, text: str) -> Meter:
        """The meter written *text*, such as 3/2. Raises ValueError on anything else."""
        upper, slash, lower = text.partition("/")
        if not (slash and upper.isdecimal() and lower.isdecimal()):
            raise ValueError(f"{text!r} is not a meter")
        return cls(int(upper), int(lower))

    def __str__(self) -> str:
        """As written: 4/4."""
        return f"{self.beats}/{self.unit}"

    @property
    def beat_quarters(self) -> Fraction:
        """Length of one beat of the lower figure."""
        return Fraction(4, self.unit)

    @property
    def bar_quarters(self) -> Fraction:
        """Length of one bar."""
        return self.beats * self.beat_quarters


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar of the score; ``length_quarters`` is shorter than the meter's in a pickup or a cut bar."""

    number: int
    onset_quarters: Fraction
    length_quarters: Fraction
    meter: Meter
    printed: str


@dataclass(frozen=True, slots=True)
class Place:
    """Where something is, as a singer says it. ``beat`` counts the meter's lower figure from 1."""

    bar: int
    beat: Fraction
    printed_bar: str

    def __str__(self) -> str:
        """Bar and beat, the beat without needless decimals."""
        beat = str(self.beat.numerator) if self.beat.denominator == 1 else f"{float(self.beat):g}"
        return f"bar {self.bar} beat {beat}"


def bar_named(bar: int, printed: str) -> str:
    """A bar as people are told of it, with the number that the file prints beside it where that is another: bar 5, bar 1 (printed 5)."""
    return f"bar {bar}{f' (printed {printed})' if printed and printed != str(bar) else ''}"


def bars_beside(says: str, printed: Mapping[int, str]) -> str:
    """A sentence that tells bars in reading order, with the printed numbers beside those that have others: bar 5 (printed 9) beat 1."""

    def told(bars: re.Match[str]) -> str:
        beside = _NUMBER.sub(lambda number: printed.get(int(number[0]), number[0]), bars[1])
        return bars[0] if beside == bars[1] else f"{bars[0]} (printed {beside})"

    return _BARS_TOLD.sub(told, says)


def ordinal(number: int) -> str:
    """As in 1st, 2nd, 3rd, 4th, 11th, 22nd."""
    last = 0 if number % 100 in (11, 12, 13) else number % 10
    return f"{number}" + {1: "st", 2: "nd", 3: "rd"}.get(last, "th")


def bars_named(bars: Iterable[int], printed: Mapping[int, str]) -> str:
    """Bars in order, neighbours joined, as in bars 4 to 6, 9, or bars 1 to 3, 6 (printed 5 to 7, 10)."""
    runs: list[list[int]] = []
    for bar in sorted(set(bars)):
        if runs and bar == runs[-1][-1] + 1:
            runs[-1].append(bar)
        else:
            runs.append([bar])

    def listed(called: Mapping[int, str]) -> str:
        return ", ".join(
            " to ".join(called.get(bar) or str(bar) for bar in dict.fromkeys((run[0], run[-1]))) for run in runs
        )

    single = len(runs) == 1 and len(runs[0]) == 1
    counted, beside = listed({}), listed(printed)
    return f"{'bar' if single else 'bars'} {counted}{f' (printed {beside})' if beside != counted else ''}"


@dataclass(frozen=True, slots=True)
class Bars:
    """All bars of a score in reading order; the one bridge between quarters and bar and beat."""

    bars: tuple[Bar, ...]

    def at(self, quarters: Fraction) -> Bar:
        """The bar that holds *quarters*; the last one for anything after the end."""
        index = bisect_right(self.bars, quarters, key=lambda bar: bar.onset_quarters) - 1
        return self.bars[max(index, 0)]

    def place(self, quarters: Fraction) -> Place:
        """Bar and beat of *quarters*. A pickup's beats count so that its last beat is the meter's last."""
        bar = self.at(quarters)
        missing = bar.meter.bar_quarters - bar.length_quarters if bar.number == 0 else Fraction(0)
        beat = 1 + (quarters - bar.onset_quarters + missing) / bar.meter.beat_quarters
        return Place(bar.number, beat, bar.printed)

    def quarters(self, bar: int, beat: Fraction = Fraction(1)) -> Fraction:
        """Where bar and beat lie. Raises KeyError when there is no such bar."""
        for candidate in self.bars:
            if candidate.number == bar:
                missing = candidate.meter.bar_quarters - candidate.length_quarters if bar == 0 else Fraction(0)
                return candidate.onset_quarters + (beat - 1) * candidate.meter.beat_quarters - missing
        raise KeyError(bar)

    def named(self, *numbers: int) -> str:
        """These bars as people are told of them; see ``bars_named``."""
        return bars_named(numbers, {bar.number: bar.printed for bar in self.bars})

    def beside(self, says: str) -> str:
        """A sentence that tells these bars, with their printed numbers; see ``bars_beside``."""
        return bars_beside(says, {bar.number: bar.printed for bar in self.bars})

    def named_span(self, first: int, last: int) -> str:
        """The bars from the one to the other."""
        return self.named(*range(first, last + 1))

    @property
    def first_full_quarters(self) -> Fraction:
        """Onset of bar 1, beat 1: the length of the pickup, 0 without one."""
        for bar in self.bars:
            if bar.number == 1:
                return bar.onset_quarters
        return Fraction(0)

    @property
    def end_quarters(self) -> Fraction:
        """Where the last bar ends."""
        return self.bars[-1].onset_quarters + self.bars[-1].length_quarters

    def beats(self) -> list[tuple[Fraction, Fraction]]:
        """Onset and length in quarters of every beat, in order."""
        found = []
        for bar in self.bars:
            at, end = bar.onset_quarters, bar.onset_quarters + bar.length_quarters
            while at < end:
                length = min(bar.meter.beat_quarters, end - at)
                found.append((at, length))
                at += length
        return found


@dataclass(frozen=True, slots=True)
class TempoMap:
    """Tempo marks as (quarters, quarters a minute); the first holds from the start."""

    points: tuple[tuple[Fraction, Fraction], ...] = ((Fraction(0), DEFAULT_QPM),)

    def __post_init__(self) -> None:
        """Refuse an empty, unordered or standing tempo."""
        onsets = [at for at, _ in self.points]
        if not onsets or onsets[0] != 0 or any(b <= a for a, b in pairwise(onsets)):
            raise ValueError("tempo marks start at 0 and go forward")
        if any(qpm <= 0 for _, qpm in self.points):
            raise ValueError("a tempo is above 0")

    def seconds(self, quarters: Fraction) -> Fraction:
        """Exact seconds from the start to *quarters*; before the start it counts back at the first tempo."""
        total, index = Fraction(0), 0
        while index + 1 < len(self.points) and self.points[index + 1][0] <= quarters:
            total += (self.points[index + 1][0] - self.points[index][0]) * 60 / self.points[index][1]
            index += 1
        return total + (quarters - self.points[index][0]) * 60 / self.points[index][1]

    def quarters(self, seconds: Fraction) -> Fraction:
        """Inverse of :meth:`seconds`."""
        passed, index = Fraction(0), 0
        while index + 1 < len(self.points):
            step = (self.points[index + 1][0] - self.points[index][0]) * 60 / self.points[index][1]
            if passed + step > seconds:
                break
            passed += step
            index += 1
        return self.points[index][0] + (seconds - passed) * self.points[index][1] / 60

    def scaled_to(self, first_qpm: Fraction) -> TempoMap:
        """The same map with its first tempo at *first_qpm* and all others in proportion."""
        factor = first_qpm / self.points[0][1]
        return TempoMap(tuple((at, qpm * factor) for at, qpm in self.points))


def lay_out_bars(
    meters: tuple[tuple[Fraction, Meter], ...],
    *,
    end_quarters: Fraction,
    pickup_quarters: Fraction = Fraction(0),
    printed: tuple[str, ...] = (),
) -> Bars:
    """Bars from meter changes, a pickup and an end.

    Parameters
    ----------
    meters : tuple of (onset in quarters, Meter)
        The first at 0. A change inside a bar cuts that bar short.
    end_quarters : Fraction
        The last bar is whole even when the music ends before it.
    pickup_quarters : Fraction
        Length of bar 0; 0 when there is none.
    printed : tuple of str
        The file's own bar numbers in reading order; where short, bars are printed as they count.
    """
    bars: list[Bar] = []
    at = Fraction(0)
    number = 0 if pickup_quarters else 1
    index = 0
    while at < end_quarters or not bars:
        while index + 1 < len(meters) and meters[index + 1][0] <= at:
            index += 1
        meter = meters[index][1]
        length = pickup_quarters if number == 0 else meter.bar_quarters
        if index + 1 < len(meters):
            length = min(length, meters[index + 1][0] - at)
        bars.append(Bar(number, at, length, meter, printed[len(bars)] if len(bars) < len(printed) else str(number)))
        at += length
        number += 1
    return Bars(tuple(bars))
