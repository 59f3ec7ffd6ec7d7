"""Headers of the drill text that place something in time: meter, pickup, key and tempo, with their changes."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction

from trainer.formats import MOST_BARS
from trainer.formats._drill_lines import Typed, Typing
from trainer.formats._drill_meant import near
from trainer.score.model import Key
from trainer.score.modes import MODE_FIFTHS, signature_fifths, split_mode
from trainer.score.time import FASTEST_QPM, SLOWEST_QPM, Bars, Meter, TempoMap, lay_out_bars

Meters = tuple[tuple[Fraction, Meter], ...]

_CHANGE = re.compile(r"(.*?)(?:\s*\bfrom\s+bar\s+(\d{1,4})(?:\s+beat\s+(\S+))?)?\Z")
_NUMBER = re.compile(r"\d{1,9}(?:\.\d{1,9}|/\d{1,9})?\Z")
_SIGNATURE = re.compile(r"(\d|no)\s+(sharps?|flats?|signs?)(?:\s+(.+))?\Z")


def number(text: str) -> Fraction:
    """The exact value of 72, 72.5 or 217/3. Raises ValueError."""
    if not _NUMBER.match(text) or text.endswith("/0"):
        raise ValueError(f"{text!r} is not a number")
    try:
        return Fraction(text)
    except ZeroDivisionError as err:
        raise ValueError(f"{text!r} is not a number") from err


def meters_and_pickup(typing: Typing) -> tuple[Meters, Fraction]:
    """The meters with their onsets, and the pickup, both in quarters. Raises ScoreError."""
    typed = typing.headers.get("meter")
    if typed is None:
        return ((Fraction(0), Meter(4, 4)),), _pickup(typing, Meter(4, 4))
    meters: list[tuple[Fraction, Meter]] = []
    pickup = Fraction(0)
    first = 1  # the number of the bar that the latest meter begins
    for text, bar, beat in _changes(typed):
        try:
            meter = Meter.parse(text)
        except ValueError as err:
            raise typed.wrong(
                f"{text!r} is not a meter", "write an upper and a lower figure such as 4/4 or 3/2"
            ) from err
        if not meters:
            if bar is not None:
                raise typed.wrong("the first meter holds from the start", "write it without  from bar")
            meters, pickup = [(Fraction(0), meter)], _pickup(typing, meter)
            first = 0 if pickup else 1
            continue
        bar = _bar_of(typed, bar, pickup)
        # counted from the change before, so that a thousand of them cost a thousand bars and not a million
        begun = Fraction(0) if len(meters) > 1 else pickup
        since = counted_bars(((Fraction(0), meters[-1][1]),), begun, max(bar - first + 1, 1))
        at = meters[-1][0]
        if bar >= first:
            at += _within(typed, since, bar, bar - first, beat)
        if at <= meters[-1][0]:
            raise typed.wrong("meters go forward in time", "write the changes in the order of their bars")
        first = bar if at == meters[-1][0] + since.bars[bar - first].onset_quarters else bar + 1
        meters.append((at, meter))
    return tuple(meters), pickup


def keys_of(typing: Typing, meters: Meters, pickup: Fraction) -> tuple[tuple[Fraction, Key], ...]:
    """The signatures of ``key:``, else the one that ``mode:`` implies, else none. Raises ScoreError."""
    typed = typing.headers.get("key")
    if typed is None:
        mode = typing.headers.get("mode")
        return () if mode is None else ((Fraction(0), _key(mode, mode.text)),)
    if typed.text.lower() == "none":
        return ()
    found: list[tuple[Fraction, Key]] = []
    changes = list(_changes(typed))
    bars = _bars_named(changes, meters, pickup)
    for text, bar, beat in changes:
        at = Fraction(0) if bar is None and not found else _quarters(typed, bars, pickup, bar, beat)
        if found and at <= found[-1][0]:
            raise typed.wrong("keys go forward in time", "write the changes in the order of their bars")
        found.append((at, _key(typed, text)))
    return tuple(found)


def tempo_of(typing: Typing, meters: Meters, pickup: Fraction) -> TempoMap:
    """The tempo marks, sixty without any. Raises ScoreError."""
    typed = typing.headers.get("tempo")
    if typed is None:
        return TempoMap()
    points: list[tuple[Fraction, Fraction]] = []
    changes = list(_changes(typed))
    bars = _bars_named(changes, meters, pickup)
    for text, bar, beat in changes:
        try:
            qpm = number(text)
        except ValueError as err:
            raise typed.wrong(f"{text!r} is not a tempo", "write quarters a minute, such as 72") from err
        if not SLOWEST_QPM <= qpm <= FASTEST_QPM:
            raise typed.wrong(
                f"a tempo of {text} cannot be sung", f"write quarters a minute from {SLOWEST_QPM} to {FASTEST_QPM}"
            )
        if bar is not None and not points:
            raise typed.wrong("the first tempo holds from the start", "write it without  from bar")
        at = Fraction(0) if not points else _quarters(typed, bars, pickup, bar, beat)
        if points and at <= points[-1][0]:
            raise typed.wrong("tempi go forward in time", "write the changes in the order of their bars")
        points.append((at, qpm))
    return TempoMap(tuple(points))


def counted_bars(meters: Meters, pickup: Fraction, count: int) -> Bars:
    """The first *count* bars, pickup included."""
    at, index, laid = Fraction(0), 0, 0
    while laid < count:
        while index + 1 < len(meters) and meters[index + 1][0] <= at:
            index += 1
        step = pickup if pickup and not laid else meters[index][1].bar_quarters
        at = min(at + step, meters[index + 1][0]) if index + 1 < len(meters) else at + step
        laid += 1
    return lay_out_bars(meters, end_quarters=at, pickup_quarters=pickup)


def _changes(typed: Typed) -> Iterator[tuple[str, int | None, Fraction]]:
    """Each value of a header with the bar and beat from which it holds; the bar is None when not said."""
    for part in typed.text.split(","):
        match = _CHANGE.match(" ".join(part.split()))
        text, bar, beat = match.groups() if match else (part, None, None)
        try:
            yield text, None if bar is None else int(bar), Fraction(1) if beat is None else number(beat)
        except ValueError as err:
            raise typed.wrong(f"{beat!r} is not a beat", "write  from bar 5  or  from bar 5 beat 3") from err


def _bars_named(changes: list[tuple[str, int | None, Fraction]], meters: Meters, pickup: Fraction) -> Bars:
    """The bars as far as any of the changes names one, laid out once."""
    first = 0 if pickup else 1
    last = max((bar for _, bar, _ in changes if bar is not None and bar <= MOST_BARS), default=first)
    return counted_bars(meters, pickup, max(last - first + 1, 1))


def _quarters(typed: Typed, bars: Bars, pickup: Fraction, bar: int | None, beat: Fraction) -> Fraction:
    bar = _bar_of(typed, bar, pickup)
    return _within(typed, bars, bar, bar - (0 if pickup else 1), beat)


def _bar_of(typed: Typed, bar: int | None, pickup: Fraction) -> int:
    if bar is None:
        raise typed.wrong("a change does not say where", "write  from bar 5  or  from bar 5 beat 3  behind it")
    first = 0 if pickup else 1
    if not first <= bar <= MOST_BARS:
        raise typed.wrong(f"there is no bar {bar}", f"bars count from {first}")
    return bar


def _within(typed: Typed, bars: Bars, bar: int, index: int, beat: Fraction) -> Fraction:
    """Quarters of a beat of ``bars.bars[index]``, which the file calls *bar*."""
    place = bars.bars[index]
    at = bars.quarters(place.number, beat)
    if not place.onset_quarters <= at < place.onset_quarters + place.length_quarters:
        raise typed.wrong(f"bar {bar} has no such beat", f"its meter is {place.meter}; beats count from 1")
    return at


def _pickup(typing: Typing, meter: Meter) -> Fraction:
    typed = typing.headers.get("pickup")
    if typed is None:
        return Fraction(0)
    try:
        length = number(typed.text) * meter.beat_quarters
    except ValueError as err:
        raise typed.wrong(f"{typed.text!r} is not a number of beats", "write  pickup: 1  for one beat") from err
    if not 0 < length < meter.bar_quarters:
        raise typed.wrong(
            f"a pickup of {typed.text} beats does not fit a bar of {meter}",
            "it is longer than 0 and shorter than the bar",
        )
    return length


def _key(typed: Typed, text: str) -> Key:
    match = _SIGNATURE.match(text.lower())
    if match:
        count, kind, mode = match.groups()
        fifths = 0 if count == "no" else int(count) * (-1 if kind.startswith("flat") else 1)
        if abs(fifths) <= 7:
            return Key(fifths, mode or "")
    try:
        final, mode = split_mode(text)
        return Key(signature_fifths(final, mode), mode)
    except ValueError as err:
        raise typed.wrong(
            f"{text!r} is not a key",
            f"{near(text.rpartition(' ')[2], MODE_FIFTHS)}write a final and a mode, as in  B dorian  "
            f"(modes: {', '.join(MODE_FIFTHS)}), or  3 sharps",
        ) from err
