"""Rhythm of the fifth species: values, ties, pairs of eighths."""

from __future__ import annotations

from collections.abc import Iterator

from second_checker.dissonances import consonant
from second_checker.piece import TICKS, Finding, Piece, Tone, step

EIGHTH, QUARTER, HALF, WHOLE = TICKS // 2, TICKS, 2 * TICKS, 4 * TICKS


def find(piece: Piece) -> Iterator[Finding]:
    for voice, line in enumerate(piece.lines):
        if piece.species[voice] != "5":
            continue
        for note in line:
            yield from value(piece, note)
            yield from tie(piece, note)
            yield from half_after_quarters(piece, note)
        yield from eighths(piece, line)


def value(piece: Piece, note: Tone) -> Iterator[Finding]:
    last = note.start >= piece.last_bar() and piece.whole
    if note.length < EIGHTH or (note.start % piece.bar_ticks == 0 and note.length >= WHOLE and not last):
        yield piece.finding("florid-values", note.start, note.start, note.voice)
    if piece.beat(note.start) == 2.0 and note.length >= HALF:
        yield piece.finding("florid-half-on-2", note.start, note.start, note.voice)


def tie(piece: Piece, note: Tone) -> Iterator[Finding]:
    """The first part of a tie is at least as long as the second."""
    over = (note.start // piece.bar_ticks + 1) * piece.bar_ticks
    if note.start < over < note.end and over - note.start < max(note.end - over, QUARTER):
        yield piece.finding("tie-value", note.start, over, note.voice)


def half_after_quarters(piece: Piece, note: Tone) -> Iterator[Finding]:
    if piece.rules != "strict16" or piece.beat(note.start) != 3.0 or note.length != HALF:
        return
    middle = piece.before(note)
    first = piece.before(middle) if middle is not None else None
    if middle is None or first is None or (note.start >= piece.last_bar() - piece.bar_ticks and piece.whole):
        return
    after = piece.after(note)
    if after is not None and step(first, middle) == step(middle, note) != 0 and step(note, after):
        return  # Fux, fig. 88a: a run of steps that goes on by step
    if middle.length == first.length == QUARTER and first.start == note.start - HALF:
        yield piece.finding("florid-half-after-quarters", first.start, note.start, note.voice)


def eighths(piece: Piece, line: tuple[Tone, ...]) -> Iterator[Finding]:
    """Pairs only, on the second or fourth quarter, one to a bar, by step, one of them consonant, not two bars running."""
    short = [n for n in line if n.length == EIGHTH]
    pairs: dict[int, int] = {}
    k = 0
    while k < len(short):
        first = short[k]
        second = short[k + 1] if k + 1 < len(short) and short[k + 1].start == first.end else None
        if second is None or piece.beat(first.start) not in {2.0, 4.0}:
            yield piece.finding("florid-eighths", first.start, first.start, first.voice)
            k += 1
            continue
        bar = piece.bar(first.start)
        before, after = piece.before(first), piece.after(second)
        smooth = before is not None and after is not None and step(first, second) and step(second, after)
        reached = piece.rules == "tonal" or (before is not None and step(before, first))
        if (
            bar in pairs
            or bar - 1 in pairs
            or not smooth
            or not reached
            or not any(consonant(piece, n) for n in (first, second))
        ):
            yield piece.finding("florid-eighths", first.start, second.start, first.voice)
        pairs[bar] = first.start
        k += 2
