"""Places and measures in words: bar 5 beat 1, bars 4 to 6, 12 cents flat, 120 ms late."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from trainer.practice.signs import Sign
from trainer.practice.take import BeatVerdict, ClashVerdict, NoteVerdict
from trainer.score.time import Place


def beat_words(beat: Fraction) -> str:
    """A beat without needless decimals: 1, 2.5."""
    return str(beat.numerator) if beat.denominator == 1 else f"{float(beat):.4g}"


def bar_words(verdict: NoteVerdict | BeatVerdict | ClashVerdict | Place) -> str:
    """Bar and number, with the printed number beside it where the two differ."""
    printed = verdict.printed_bar
    beside = f" (printed {printed})" if printed and printed != str(verdict.bar) else ""
    return f"bar {verdict.bar}{beside}"


def place_words(verdict: NoteVerdict | BeatVerdict | ClashVerdict) -> str:
    """Bar and beat."""
    return f"{bar_words(verdict)} beat {beat_words(verdict.beat)}"


def cents_words(cents: int) -> str:
    """Size and side, as in 12 cents flat; in tune for nothing at all."""
    if cents == 0:
        return "in tune"
    return f"{abs(cents)} {'cent' if abs(cents) == 1 else 'cents'} {'sharp' if cents > 0 else 'flat'}"


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


def bars_words(bars: Iterable[int]) -> str:
    """Bars in order, neighbours joined, as in bars 4 to 6, 9."""
    runs: list[list[int]] = []
    for bar in sorted(set(bars)):
        if runs and bar == runs[-1][-1] + 1:
            runs[-1].append(bar)
        else:
            runs.append([bar])
    told = [str(run[0]) if len(run) == 1 else f"{run[0]} to {run[-1]}" for run in runs]
    single = len(runs) == 1 and len(runs[0]) == 1
    return f"{'bar' if single else 'bars'} {', '.join(told)}"


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
            told = ["octave", heard]
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
