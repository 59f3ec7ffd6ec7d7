"""Places and measures in words: bar 5 beat 1, bars 4 to 6, 12 cents flat, 120 ms late."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import Protocol

from trainer.practice.signs import Sign
from trainer.practice.take import NoteVerdict
from trainer.score.time import bar_named, bars_named


def begun(words: str) -> str:
    """With a capital to begin with, and all else as it is."""
    return f"{words[:1].upper()}{words[1:]}"


def beat_words(beat: Fraction) -> str:
    """A beat without needless decimals: 1, 2.5."""
    return str(beat.numerator) if beat.denominator == 1 else f"{float(beat):.4g}"


class InABar(Protocol):
    """Whatever stands in a bar: a verdict, a place."""

    @property
    def bar(self) -> int:
        """In reading order."""
        ...

    @property
    def printed_bar(self) -> str:
        """As the file prints it."""
        ...


class OnABeat(InABar, Protocol):
    """And on a beat of it."""

    @property
    def beat(self) -> Fraction:
        """Counted in the meter's lower figure, from 1."""
        ...


def bar_words(verdict: InABar) -> str:
    """Bar and number, with the printed number beside it where the two differ."""
    return bar_named(verdict.bar, verdict.printed_bar)


def place_words(verdict: OnABeat) -> str:
    """Bar and beat."""
    return f"{bar_words(verdict)} beat {beat_words(verdict.beat)}"


def cents_words(cents: int) -> str:
    """Size and side, as in 12 cents flat; in tune for nothing at all."""
    if cents == 0:
        return "in tune"
    return f"{abs(cents)} {'cent' if abs(cents) == 1 else 'cents'} {'sharp' if cents > 0 else 'flat'}"


def second_words(seconds: float, *, digits: int = 1) -> str:
    """A place in a take, as in 3.9. One just before its beginning is 0.0 there, without a sign."""
    return f"{round(seconds, digits) + 0.0:.{digits}f}"


def ms_words(milliseconds: int) -> str:
    """Size and side, as in 120 ms late or 1.3 s early; on the beat for nothing at all."""
    if milliseconds == 0:
        return "on the beat"
    return f"{time_words(milliseconds)} {'late' if milliseconds > 0 else 'early'}"


def time_words(milliseconds: int) -> str:
    """The size alone: 120 ms, 1.3 s."""
    size = abs(milliseconds)
    return f"{size} ms" if size < 1000 else f"{size / 1000:.1f} s"


def count_words(number: int, one: str, many: str = "") -> str:
    """A number with its noun."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def bars_words(verdicts: Iterable[InABar]) -> str:
    """The bars of some verdicts in order, neighbours joined, as in bars 4 to 6, 9."""
    printed = {one.bar: one.printed_bar for one in verdicts}
    return bars_named(printed, printed)


AS_WRITTEN = "as written, the rest in another"
"""Of an octave: a whole take in another one is right, and a single note back in the written one is not."""


def note_words(note: NoteVerdict) -> str:
    """What became of one note, without its place: "pulled to soprano, F#4 heard for B3"."""
    heard = f"{note.sung} heard for {note.expected}" if note.sung and note.expected else ""
    cents = "" if note.cents is None else cents_words(note.cents)
    match note.sign:
        case Sign.PULLED:
            told = [f"pulled to {note.pulled_to}" if note.pulled_to else "pulled", heard]
        case Sign.OFF if note.expected is None:
            told = [f"off, {note.sung or 'a note'} sung in a rest"]
        case Sign.OFF:
            also = f"also a note of the {' and '.join(note.also_note_of)}" if note.also_note_of else ""
            between = "" if note.sung else f"between two notes, {cents} of {note.expected}" if cents else ""
            told = ["off", heard or between, also]
        case Sign.OCTAVE:
            told = ["octave", AS_WRITTEN if note.sung == note.expected else heard]
        case Sign.SHARP | Sign.FLAT:
            told = [cents or note.sign.value]
        case Sign.LATE | Sign.EARLY:
            told = [note.sign.value if note.onset_error_ms is None else ms_words(note.onset_error_ms)]
        case Sign.LEFT_EARLY:
            release = note.release_error_ms
            told = ["left early" if release is None else f"left early by {time_words(release)}"]
        case _:
            told = [note.sign.value]
    told += [_beside(note, sign) for sign in note.signs[1:]]
    return ", ".join(part for part in told if part)


def _beside(note: NoteVerdict, sign: Sign) -> str:
    """A sign that applies beside the main one."""
    if sign in (Sign.LATE, Sign.EARLY) and note.onset_error_ms is not None:
        return ms_words(note.onset_error_ms)
    if sign in (Sign.SHARP, Sign.FLAT) and note.cents is not None:
        return cents_words(note.cents)
    return sign.value
