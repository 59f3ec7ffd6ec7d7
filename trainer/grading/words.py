"""Counts, bars and intervals in plain words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from trainer.rules.intervals import name
from trainer.rules.texture import Texture, Tone

_COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_SIZES = ("unison", "second", "third", "fourth", "fifth", "sixth", "seventh", "octave", "ninth", "tenth")
_ORDINALS = ("", "first", "second", "third", "fourth", "fifth", "sixth", "seventh")


def count(number: int) -> str:
    """A small number as a word."""
    return _COUNTS[number] if number < len(_COUNTS) else str(number)


def degree(number: int) -> str:
    """A degree of the scale, 1 to 7, as an ordinal."""
    return _ORDINALS[number]


def interval(before: Tone, after: Tone) -> str:
    """Size and way, as in "a sixth up"; only what is augmented or diminished says its quality."""
    letters = abs(after.dia - before.dia)
    size = _SIZES[letters] if letters < len(_SIZES) else f"{letters + 1}th"
    quality = {"A": "augmented ", "d": "diminished "}.get(name(before, after)[0], "")
    article = "an" if (quality or size)[0] in "aou" and (quality or size)[:3] != "uni" else "a"
    return f"{article} {quality}{size} {'up' if after.dia > before.dia else 'down'}"


def bars(numbers: Iterable[int]) -> str:
    """Bars in order: "bar 4", "bars 3 and 8", "bars 2 to 4, 7 and 9"."""
    runs: list[list[int]] = []
    for number in sorted(set(numbers)):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    told: list[str] = []
    for run in runs:
        told += [f"{run[0]} to {run[-1]}"] if len(run) > 2 else [str(number) for number in run]
    return f"{'bar' if told == [str(runs[0][0])] else 'bars'} {listed(told)}"


def listed(words: Sequence[str]) -> str:
    """One, two and three."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def bar(texture: Texture, at: int) -> int:
    """The number of the bar that holds a tick."""
    return texture.bar_at(at).number
