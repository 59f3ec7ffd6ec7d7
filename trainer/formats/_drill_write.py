"""Writes drill text that reads back to an equal score."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from trainer.formats._drill_bars import bar_words
from trainer.formats._drill_words import (
    FACTS,
    REST,
    nearest_octave,
    settled_fact,
    signature_words,
)
from trainer.score.model import Key, Note, Score
from trainer.score.modes import signature_fifths, split_mode
from trainer.score.pitch import STEPS
from trainer.score.time import Place, lay_out_bars

LINE_LETTERS = 118
"""Longest line of a voice; a bar that is longer alone stands alone."""


def write(score: Score) -> bytes:
    """The drill text of *score*, UTF-8."""
    names = _names(score)
    text = [*_headers(score), ""]
    bars = score.bars().bars
    text += _systems(names, [bar_words(line, bars, _Spelling().word) for line in score.lines])
    for name, line in zip(names, score.lines, strict=True):
        if any(note.lyric for note in line.notes):
            text.append(f"{name} words: {' '.join(_lyric(note.lyric) for note in line.notes)}")
    return "\n".join(text).rstrip("\n").encode() + b"\n"


def _systems(names: list[str], voices: list[list[str]]) -> list[str]:
    """All voices under one another, bar lines in columns, as many bars a line as fit."""
    margin = max(len(name) for name in names)
    widths = [max(len(voice[column]) for voice in voices) for column in range(len(voices[0]))]
    text: list[str] = []
    first = 0
    while first < len(widths):
        end, letters = first + 1, margin + 5 + widths[first]
        while end < len(widths) and letters + widths[end] + 3 <= LINE_LETTERS:
            letters += widths[end] + 3
            end += 1
        for name, voice in zip(names, voices, strict=True):
            words = (voice[column].ljust(widths[column]) for column in range(first, end))
            text.append(f"{name.ljust(margin)} | {' | '.join(words)} |")
        text.append("")
        first = end
    return text


def _names(score: Score) -> list[str]:
    """One name a voice, none twice, none with a sign that the format uses."""
    names: list[str] = []
    for number, line in enumerate(score.lines, start=1):
        name = " ".join(line.name.replace("|", " ").replace(":", " ").split()).lstrip(";").strip() or f"voice {number}"
        wanted, copy = name, 2
        while name.lower() in (taken.lower() for taken in names):
            name, copy = f"{wanted} {copy}", copy + 1
        names.append(name)
    return names


def _headers(score: Score) -> list[str]:
    facts = dict(score.facts)
    text = [f"title: {_one_line(score.title)}".rstrip(), f"meter: {_meters(score)}"]
    if score.pickup_quarters:
        text.append(f"pickup: {_number(score.pickup_quarters / score.meters[0][1].beat_quarters)}")
    if score.keys != _implied_keys(facts.get("mode", "")):
        text.append(f"key: {_keys(score)}")
    text.append(f"tempo: {_tempo(score)}")
    if score.printed_bars:
        text.append(f"printed: {' '.join(number.replace(' ', '') or '?' for number in score.printed_bars)}")
    for index, (name, value) in enumerate(score.facts):
        first = name not in (earlier for earlier, _ in score.facts[:index])
        header = name if first and _is_typed(name, value, score) else f"fact {_one_line(name).replace(':', ' ')}"
        text.append(f"{header}: {_one_line(value)}".rstrip())
    return text


def _is_typed(name: str, value: str, score: Score) -> bool:
    """Whether *value* behind the header *name* is read back as it is."""
    try:
        return name in FACTS and settled_fact(name, value, score.voice_names()) == value
    except ValueError:
        return False


def _one_line(text: str) -> str:
    return " ".join(text.split())


def _number(value: Fraction) -> str:
    """Exact: 72, 72.5 or 217/3."""
    places = value.denominator
    while places % 2 == 0:
        places //= 2
    while places % 5 == 0:
        places //= 5
    decimal = f"{float(value):.6f}".rstrip("0").rstrip(".")
    return decimal if places == 1 and Fraction(decimal) == value else f"{value.numerator}/{value.denominator}"


def _places(score: Score, changes: Sequence[Fraction]) -> list[str]:
    """Where changes at these quarters stand among the score's bars, which are laid out once."""
    end = max(changes, default=Fraction(0)) + 1
    bars = lay_out_bars(score.meters, end_quarters=end, pickup_quarters=score.pickup_quarters)
    return [_from(bars.place(at)) for at in changes]


def _from(place: Place, first: int = 1) -> str:
    """*place* in words, where bars are counted on from *first* in place of 1."""
    beat = "" if place.beat == 1 else f" beat {_number(place.beat)}"
    return f"from bar {place.bar + first - 1}{beat}"


def _meters(score: Score) -> str:
    """Each change as it stands among the bars of the meters before it, counted from the last of these."""
    words = [str(score.meters[0][1])]
    first = 1
    for (since, before), (at, meter) in pairwise(score.meters):
        pickup = score.pickup_quarters if since == 0 else Fraction(0)
        end = at - since + before.bar_quarters
        bars = lay_out_bars(((Fraction(0), before),), end_quarters=end, pickup_quarters=pickup)
        place = bars.place(at - since)
        words.append(f"{meter} {_from(place, first)}")
        first += place.bar - 1 if place.beat == 1 else place.bar
    return ", ".join(words)


def _tempo(score: Score) -> str:
    changes = score.tempo.points[1:]
    places = _places(score, [at for at, _ in changes])
    words = [_number(score.tempo.points[0][1])]
    words += [f"{_number(qpm)} {place}" for (_, qpm), place in zip(changes, places, strict=True)]
    return ", ".join(words)


def _implied_keys(mode: str) -> tuple[tuple[Fraction, Key], ...]:
    try:
        final, word = split_mode(mode)
    except ValueError:
        return ()
    return ((Fraction(0), Key(signature_fifths(final, word), word)),)


def _keys(score: Score) -> str:
    if not score.keys:
        return "none"
    words = []
    for (at, key), place in zip(score.keys, _places(score, [at for at, _ in score.keys]), strict=True):
        word = signature_words(key.fifths) + (f" {_one_line(key.mode)}" if key.mode else "")
        words.append(word if at == 0 else f"{word} {place}")
    return ", ".join(words)


def _lyric(text: str) -> str:
    if not text:
        return REST
    escaped = "".join(f"\\{sign}" if sign in "\\_;" else sign for sign in text)
    escaped = "_".join(escaped.split())
    return f"\\{escaped}" if escaped == REST else escaped or REST


class _Spelling:
    """Names the notes of one voice in order, with an octave only where the nearest would be another."""

    def __init__(self) -> None:
        self._before: int | None = None

    def word(self, note: Note) -> str:
        pitch, before = note.pitch, self._before
        self._before = pitch.diatonic
        nearest = None if before is None else nearest_octave(STEPS.index(pitch.step), before)
        return f"{pitch.step}{pitch.accidental}{'' if nearest == pitch.octave else pitch.octave}"
