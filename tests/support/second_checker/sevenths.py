"""Chords of the seventh: where they are welcome, how the seventh comes and goes (tonal set, four parts)."""

from __future__ import annotations

from collections.abc import Iterator

from second_checker.piece import Finding, Piece, Tone, lowest, move, step


def root_letter(letters: set[int]) -> int | None:
    """Root of a seventh chord of three or four members with its third, or None."""
    for root in letters:
        members = {root, (root + 2) % 7, (root + 4) % 7, (root + 6) % 7}
        if letters <= members and {root, (root + 2) % 7, (root + 6) % 7} <= letters:
            return root
    return None


def struck(piece: Piece, at: int) -> list[Tone]:
    return [n for n in piece.at(at) if n is not None and (n.start == at or not piece.quick(n.voice))]


def is_chord(piece: Piece, at: int) -> bool:
    """Whether all voices, three or four, strike a seventh chord together and none is suspended."""
    notes = struck(piece, at)
    return piece.parts > 2 and len(notes) == piece.parts and root_letter({n.letter for n in notes}) is not None


def welcome(piece: Piece) -> bool:
    return piece.rules == "tonal" and piece.parts == 4


def find(piece: Piece) -> Iterator[Finding]:
    if not welcome(piece):
        return
    for at in piece.times:
        if not piece.strong(at) or not is_chord(piece, at):
            continue
        notes = struck(piece, at)
        root = root_letter({n.letter for n in notes})
        assert root is not None
        seventh = next(n for n in notes if n.letter == (root + 6) % 7)
        doubled = [n for n in notes if n.letter == seventh.letter]
        if len(doubled) > 1:
            yield piece.finding("double-tendency", at, at, *(n.voice for n in doubled))
            continue
        yield from treated(piece, at, root, seventh, lowest(notes))


def treated(piece: Piece, at: int, root: int, seventh: Tone, bass: Tone | None) -> Iterator[Finding]:
    before, after = piece.before(seventh), piece.after(seventh)
    degree = (root - piece.final_place) % 7
    if degree == 0:
        yield piece.finding("seventh-kinds", at, at, *range(piece.parts))
    if before is not None and move(before, seventh)[0] not in {0, 1, -1}:
        yield piece.finding("seventh-prep", before.start, at, seventh.voice)
    if after is not None and step(seventh, after) != -1 and not may_rise(piece, degree, root, seventh, bass, after):
        rule = "seventh-inversion" if bass is seventh else "seventh-resolution"
        yield piece.finding(rule, at, after.start, seventh.voice)


def may_rise(piece: Piece, degree: int, root: int, seventh: Tone, bass: Tone | None, after: Tone) -> bool:
    """A passing four-three of the dominant lets the seventh rise to the fifth."""
    return degree == 4 and bass is not None and bass.letter == (root + 4) % 7 and step(seventh, after) == 1
