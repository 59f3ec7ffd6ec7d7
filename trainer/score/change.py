"""New scores from old ones: moved to another pitch, cut to some bars, taken at another tempo. Nothing is changed in place."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import TypeVar

from trainer.score.model import Key, Line, Note, Score
from trainer.score.modes import split_mode
from trainer.score.pitch import Interval, Pitch, line_of_fifths
from trainer.score.time import TempoMap, bar_named

T = TypeVar("T")

EXCERPT = "excerpt"
"""The fact under which some bars of a whole say which bars they are."""


def transpose(score: Score, interval: Interval) -> Score:
    """*score* moved by *interval*: notes, signatures and the final of its mode. Raises ValueError where a note cannot be spelled."""
    lines = tuple(
        Line(line.name, tuple(replace(note, pitch=note.pitch.transposed(interval)) for note in line.notes))
        for line in score.lines
    )
    middle = Pitch("C", 0, 4)
    fifths = line_of_fifths(middle.transposed(interval))
    keys = tuple((at, Key(key.fifths + fifths, key.mode)) for at, key in score.keys)
    facts = tuple((name, MOVED_WITH_IT.get(name, _as_it_is)(value, interval)) for name, value in score.facts)
    return replace(score, lines=lines, keys=keys, facts=facts)


def _as_it_is(text: str, _: Interval) -> str:
    return text


def _moved_mode(text: str, interval: Interval) -> str:
    """The mode on its new final; a text that names no final stays as it is."""
    try:
        final, mode = split_mode(text)
    except ValueError:
        return text
    moved = Pitch.parse(f"{final}4").transposed(interval)
    return f"{moved.step}{moved.accidental} {mode}"


def _moved_compass(text: str, interval: Interval) -> str:
    """Both ends of a compass such as "F#3 C#4"; a text that is none stays as it is."""
    try:
        return " ".join(str(Pitch.parse(name).transposed(interval)) for name in text.split())
    except ValueError:
        return text


MOVED_WITH_IT = {"mode": _moved_mode, "compass": _moved_compass}
"""Facts that name pitches."""


def cut(score: Score, first_bar: int, last_bar: int) -> Score:
    """The bars from *first_bar* to *last_bar*, both included, as a score of their own.

    A note held into the cut keeps the part that sounds inside it. The bars keep their printed numbers, so that a report on the cut
    still names the place in the whole.

    Raises
    ------
    KeyError
        When there are no such bars; its text says which there are.
    """
    bars = score.bars().bars
    kept = [bar for bar in bars if first_bar <= bar.number <= last_bar]
    if not kept or kept[0].number != first_bar or kept[-1].number != last_bar:
        raise KeyError(f"bars {bars[0].number} to {bars[-1].number}")
    start, end = kept[0].onset_quarters, kept[-1].onset_quarters + kept[-1].length_quarters
    printed = tuple(bar.printed for bar in kept)
    pickup = kept[0].length_quarters if kept[0].number == 0 else Fraction(0)
    return replace(
        score,
        lines=tuple(Line(line.name, _inside(line.notes, start, end)) for line in score.lines),
        meters=_in_force(score.meters, start, end),
        keys=_in_force(score.keys, start, end),
        tempo=TempoMap(_in_force(score.tempo.points, start, end)),
        pickup_quarters=pickup,
        facts=score.facts if len(kept) == len(bars) else _as_excerpt(score, f"{first_bar}-{last_bar}"),
        printed_bars=printed if printed != tuple(str(number) for number in _counted(len(kept), pickup)) else (),
    )


def bar_one(score: Score) -> str:
    """Which bar of the whole the score's bar 1 is, as people are told of it: bar 1, of an excerpt bar 3."""
    first = score.fact(EXCERPT).partition("-")[0]
    number = max(1, int(first)) if first.isdecimal() else 1
    return bar_named(number, next((bar.printed for bar in score.bars().bars if bar.number >= 1), ""))


def with_tempo(score: Score, first_qpm: Fraction) -> Score:
    """*score* with its first tempo at *first_qpm* quarters a minute and all others in proportion."""
    return replace(score, tempo=score.tempo.scaled_to(first_qpm))


def _as_excerpt(score: Score, bars: str) -> tuple[tuple[str, str], ...]:
    # an excerpt of an excerpt is told by the bars of its own score
    return (*(fact for fact in score.facts if fact[0] != EXCERPT), (EXCERPT, bars))


def _counted(bars: int, pickup: Fraction) -> range:
    first = 0 if pickup else 1
    return range(first, first + bars)


def _inside(notes: tuple[Note, ...], start: Fraction, end: Fraction) -> tuple[Note, ...]:
    found = []
    for note in notes:
        onset, stop = max(note.onset_quarters, start), min(note.end_quarters, end)
        if onset < stop:
            whole_end = stop == note.end_quarters
            found.append(
                replace(
                    note,
                    onset_quarters=onset - start,
                    length_quarters=stop - onset,
                    breath_after=note.breath_after and whole_end,
                )
            )
    return tuple(found)


def _in_force(
    changes: tuple[tuple[Fraction, T], ...], start: Fraction, end: Fraction
) -> tuple[tuple[Fraction, T], ...]:
    """Changes inside [start, end), counted from *start*, led by the one that holds there."""
    held = [value for at, value in changes if at <= start][-1:]
    return tuple((Fraction(0), value) for value in held) + tuple(
        (at - start, value) for at, value in changes if start < at < end
    )
