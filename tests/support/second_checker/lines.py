"""Rules of one line by itself. Cantus lines are not judged."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from second_checker.piece import Finding, Piece, Tone, move, sign, simple, step
from second_checker.suspensions import agents

LARGEST_RANGE = 9  # staff places in a tenth
COMPASS_MIDI = {"soprano": (60, 79), "alto": (55, 72), "tenor": (48, 67), "bass": (40, 60)}
"""Compass of each named voice in harmony handouts: C4-G5, G3-C5, C3-G4, E2-C4 (common practice)."""

MELODIC = {(0, 0), (1, 1), (1, 2), (2, 3), (2, 4), (3, 5), (4, 7), (5, 8), (5, 9), (7, 12)}


def find(piece: Piece) -> Iterator[Finding]:
    for voice, line in enumerate(piece.lines):
        yield from compass(piece, voice, line)
        if piece.species[voice] == "cantus":
            continue
        for a, b in pairwise(line):
            if a.end == b.start:
                yield from leap(piece, a, b)
        yield from outlines(piece, line)
        yield from leaps_one_way(piece, line)
        yield from recovery(piece, line)
        yield from repeated(piece, voice, line)
        if piece.rules == "conservatoire":
            low, high = min(line, key=lambda n: n.place), max(line, key=lambda n: n.place)
            if high.place - low.place > LARGEST_RANGE:
                first, last = sorted((low, high), key=lambda n: n.start)
                yield piece.finding("range-tenth", first.start, last.start, voice)


def compass(piece: Piece, voice: int, line: tuple[Tone, ...]) -> Iterator[Finding]:
    if piece.names and piece.names[voice] in COMPASS_MIDI:
        low, high = COMPASS_MIDI[piece.names[voice]]
        for note in line:
            if not low <= note.midi <= high:
                yield piece.finding("range-voice", note.start, note.start, voice)


def leap(piece: Piece, a: Tone, b: Tone) -> Iterator[Finding]:
    """The narrowest name for a forbidden interval from a to b."""
    letters, semitones = (abs(x) for x in move(a, b))
    falls = bool(b.place < a.place or (b.place == a.place and b.midi < a.midi))
    rule = ""
    if letters == 0 and semitones == 1:
        rule = "chromatic-step"
    elif letters == 6 or letters > 7:
        rule = "diminished-leap" if (letters, semitones) == (6, 9) else "seventh-ninth-leap"
    elif (letters, semitones) in {(1, 3), (3, 6), (2, 5), (4, 8), (5, 10), (7, 13)}:
        rule = "augmented-leap"
    elif (letters, semitones) in {(3, 4), (4, 6)}:
        rule = "diminished-leap"
    elif (letters, semitones) == (5, 9) or ((letters, semitones) == (5, 8) and falls):
        rule = "sixth-leap"
    elif (letters, semitones) not in MELODIC:
        rule = "leap-size"
    if rule == "diminished-leap" and piece.rules == "tonal":
        return
    if rule == "sixth-leap" and (piece.rules == "tonal" or licensed_sixth(piece, a, b)):
        return
    if rule:
        yield piece.finding(rule, a.start, b.start, a.voice)


def licensed_sixth(piece: Piece, a: Tone, b: Tone) -> bool:
    """Fux, figs 42 and 57: a minor sixth down that the line fills again by turning upwards at once."""
    after = piece.after(b)
    return piece.rules == "strict16" and move(a, b) == (-5, -8) and after is not None and after.place > b.place


def runs(line: tuple[Tone, ...]) -> Iterator[tuple[Tone, ...]]:
    """Stretches of a line that move one way, each as long as it goes; restruck notes are passed over."""
    moving = [
        note
        for k, note in enumerate(line)
        if k == 0 or note.place != line[k - 1].place or note.start != line[k - 1].end
    ]
    start = 0
    for k in range(1, len(moving)):
        turns = k + 1 == len(moving) or sign(move(moving[k - 1], moving[k])[0]) != sign(
            move(moving[k], moving[k + 1])[0]
        )
        if turns:
            yield tuple(moving[start : k + 1])
            start = k


def outlines(piece: Piece, line: tuple[Tone, ...]) -> Iterator[Finding]:
    """A run whose two ends form an augmented fourth."""
    if piece.rules == "tonal":
        return
    for run in runs(line):
        if len(run) >= 3 and tuple(map(abs, move(run[0], run[-1]))) == (3, 6) and not licensed_outline(piece, run):
            yield piece.finding("tritone-outline", run[0].start, run[-1].start, run[0].voice)


def licensed_outline(piece: Piece, run: tuple[Tone, ...]) -> bool:
    """Fux, figs 144 and 177: an inner voice in whole notes."""
    inner = 0 < run[0].voice < piece.parts - 1
    return piece.rules == "strict16" and inner and piece.species[run[0].voice] == "1"


def leaps_one_way(piece: Piece, line: tuple[Tone, ...]) -> Iterator[Finding]:
    """Two leaps on the same way that together are too wide."""
    if piece.rules == "tonal":
        return
    for a, b, c in zip(line, line[1:], line[2:], strict=False):
        if a.end != b.start or b.end != c.start:
            continue
        first, second = move(a, b)[0], move(b, c)[0]
        if sign(first) != sign(second) or min(abs(first), abs(second)) < 2:
            continue
        total = abs(first + second)
        if total > 7 or total == 6 or min(abs(first), abs(second)) > 2:
            if (first, second) == (4, 3):
                continue  # an octave up cut into a fifth and a fourth, the larger below
            cut_octave = total == 7 and {abs(first), abs(second)} == {3, 4}
            if (total == 6 or cut_octave) and a.voice == piece.parts - 1 and piece.rules == "strict16":
                continue  # Fux, figs 37, 43, 45, 122, 154, 166, 193: a bass
            yield piece.finding("two-leaps-same-way", a.start, c.start, a.voice)


def recovery(piece: Piece, line: tuple[Tone, ...]) -> Iterator[Finding]:
    """In the strict style a minor sixth or an octave is followed by a turn back."""
    if piece.rules != "strict16":
        return
    for a, b, c in zip(line, line[1:], line[2:], strict=False):
        if a.end == b.start and b.end == c.start and tuple(map(abs, move(a, b))) in {(5, 8), (7, 12)}:
            fig_148 = piece.parts > 2 and piece.species[a.voice] == "1" and move(a, b) == (5, 8) and step(b, c) == 1
            if sign(move(b, c)[0]) == sign(move(a, b)[0]) and not fig_148:
                yield piece.finding("leap-recovery", a.start, c.start, a.voice)


def repeated(piece: Piece, voice: int, line: tuple[Tone, ...]) -> Iterator[Finding]:
    """A pitch struck again at once by a voice that should move."""
    if not piece.quick(voice):
        return
    for a, b in pairwise(line):
        if a.end != b.start or a.midi != b.midi or a.place != b.place:
            continue
        if min(a.length, b.length) >= piece.bar_ticks and piece.strong(a.start):
            continue  # whole notes where nothing else fits (Fux, fig. 173)
        if piece.species[voice] == "5" and is_anticipation(piece, a, b):
            continue
        yield piece.finding("repeated-note", a.start, b.start, voice)


def suspended(piece: Piece, held: Tone, over: int) -> bool:
    """Whether a held note clashes at a bar line, or is the altered one of an augmented triad, whose diminished fourth it falls from."""
    altered = {(3, 4), (4, 8)}
    struck = [n for n in piece.at(over) if n is not None and n.start == over]
    return bool(agents(piece, held, over)) or any(simple(held, n) in altered for n in struck)


def is_anticipation(piece: Piece, a: Tone, b: Tone) -> bool:
    """A suspension struck again, or its resolution sounded early and again in its place (fifth species)."""
    bar_start = b.start // piece.bar_ticks * piece.bar_ticks
    if piece.beat(b.start) == 2.0:
        return a.start < bar_start < a.end and suspended(piece, a, bar_start)
    before = piece.before(a)
    early = piece.beat(b.start) == 3.0 and piece.beat(a.start) == 2.0 and before is not None
    return early and before is not None and before.start < bar_start < before.end and step(before, a) == -1
