"""What stands together: openings, closes, thirds, doublings, leading tones, false relations, the minor's two notes."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from second_checker.piece import TICKS, Finding, Piece, Tone, agree, lowest, move, simple, step
from second_checker.suspensions import agents


def find(piece: Piece) -> Iterator[Finding]:
    yield from opening(piece)
    if piece.whole:
        yield from ending(piece)
        yield from clausula(piece)
        yield from leading_tone(piece)
    yield from thirds(piece)
    yield from complete(piece)
    yield from doublings(piece)
    yield from false_relations(piece)
    if piece.minor:
        for voice, line in enumerate(piece.lines):
            if piece.species[voice] != "cantus":
                yield from sixth_and_seventh(piece, line)


def is_final(piece: Piece, note: Tone) -> bool:
    return note.letter == piece.final_place and note.midi % 12 == piece.final_pitch_class


def opening(piece: Piece) -> Iterator[Finding]:
    if piece.rules == "tonal":
        return
    firsts = [line[0] for line in piece.lines]
    at = max(n.start for n in firsts) if piece.parts == 2 else 0
    sounding = [n for n in piece.at(at) if n is not None]
    bass = lowest(sounding)
    assert bass is not None
    bad = not is_final(piece, firsts[-1])
    for note in sounding:
        if note is bass:
            continue
        interval = simple(note, bass)
        if piece.parts == 2:
            below = piece.cantus == 0
            bad = bad or interval not in ({(0, 0)} if below else {(0, 0), (4, 7)})
        else:
            bad = bad or interval not in {(0, 0), (2, 3), (2, 4), (4, 7)}
    if bad:
        yield piece.finding("starts-on", at, at, *(n.voice for n in sounding))


def ending(piece: Piece) -> Iterator[Finding]:
    lasts = [line[-1] for line in piece.lines]
    at = max(n.start for n in lasts)
    bass = lowest(lasts)
    assert bass is not None
    if piece.rules != "tonal":
        intervals = {simple(n, bass) for n in lasts if n is not bass}
        allowed = {(0, 0)} if piece.parts == 2 else {(0, 0), (2, 3), (2, 4), (4, 7)}
        if not is_final(piece, bass) or not intervals <= allowed:
            yield piece.finding("ends-on", at, at, *range(piece.parts))
        elif (2, 3) in intervals and piece.rules == "strict16":
            thirds = [n.voice for n in lasts if simple(n, bass) == (2, 3)]
            yield piece.finding("picardy", at, at, *thirds)


def closing_note(piece: Piece, voice: int) -> Tone | None:
    """The last note of a line before the last bar."""
    notes = [n for n in piece.lines[voice] if n.start < piece.last_bar()]
    return notes[-1] if notes else None


def phrygian(piece: Piece) -> bool:
    """Whether the second degree lies a semitone over the final."""
    second = (piece.final_place + 1) % 7
    semitones = (0, 2, 4, 5, 7, 9, 11)
    return (semitones[second] + piece.scale[second] - piece.final_pitch_class) % 12 == 1


def clausula(piece: Piece) -> Iterator[Finding]:
    """Two parts close by a step down to the final against a step up."""
    if piece.parts != 2:
        return
    ways = {}
    for voice in (0, 1):
        note, last = closing_note(piece, voice), piece.lines[voice][-1]
        if note is None or not is_final(piece, last):
            return  # told as ends-on
        ways[voice] = move(note, last)
    falls, rises = ((-1, -1), (1, 2)) if phrygian(piece) else ((-1, -2), (1, 1))
    if sorted(ways.values()) != sorted((falls, rises)):
        start = max(n.start for n in (closing_note(piece, 0), closing_note(piece, 1)) if n is not None)
        yield piece.finding("clausula", start, piece.last_bar(), 0, 1)


def leading(piece: Piece, note: Tone) -> bool:
    """Whether a note lies a semitone under the final, on the letter below it."""
    return note.letter == (piece.final_place - 1) % 7 and note.midi % 12 == (piece.final_pitch_class - 1) % 12


def leading_tone(piece: Piece) -> Iterator[Finding]:
    for voice in range(piece.parts):
        note = closing_note(piece, voice)
        if note is None or not leading(piece, note):
            continue
        last = piece.after(note)
        if last is None or move(note, last) == (1, 1):
            continue
        if piece.rules == "tonal" and 0 < voice < piece.parts - 1 and move(note, last)[0] == -2:
            continue
        if piece.parts == 2:
            continue  # told as clausula
        yield piece.finding("leading-tone-goes-up", note.start, last.start, voice)


def thirds(piece: Piece) -> Iterator[Finding]:
    """A chord without third or sixth on a first beat; a held dissonance counts as the note it delays."""
    needed = 3 if piece.rules == "tonal" else 4
    if piece.parts < needed:
        return
    for bar in range(1, piece.bars - 1 if piece.whole else piece.bars):
        at = bar * piece.bar_ticks
        sounding = piece.at(at)
        bass = lowest(sounding)
        if bass is None or any(n is None for n in sounding):
            continue
        sizes = {(n.place - bass.place) % 7 for n in sounding if n is not None and n is not bass}
        # a bass that is itself held may clash by a diminished fifth
        delayed = any(n is not None and not agree(n, bass, bass) and min(n.start, bass.start) < at for n in sounding)
        if not sizes & {2, 5} and not sizes & {1, 3, 6} and not delayed:
            yield piece.finding("third-present", at, at, *range(piece.parts))


def complete(piece: Piece) -> Iterator[Finding]:
    """Conservatoire, four parts with a tied voice: all three members on the first or the third quarter (Cherubini, rule 62)."""
    if piece.rules != "conservatoire" or piece.parts != 4 or "4" not in piece.species:
        return
    for bar in range(1, piece.bars - 1 if piece.whole else piece.bars):
        first, middle = bar * piece.bar_ticks, bar * piece.bar_ticks + piece.bar_ticks // 2
        moving = [n.letter for n in piece.at(middle) if n is not None]
        struck = [
            (n.letter - 1) % 7 if n.start < first and piece.quick(n.voice) and agents(piece, n, first) else n.letter
            for n in piece.at(first)
            if n
        ]
        as_held = [n.letter for n in piece.at(first) if n is not None]
        if not any(triad(letters) for letters in (struck, as_held, moving)):
            yield piece.finding("chord-complete", first, first, *range(piece.parts))


def triad(letters: list[int]) -> bool:
    return any({root, (root + 2) % 7, (root + 4) % 7} <= set(letters) for root in letters)


def doublings(piece: Piece) -> Iterator[Finding]:
    """A note outside the mode, or the leading tone at the close, in two voices at once."""
    for at in piece.times:
        notes = [n for n in piece.at(at) if n is not None]
        close = piece.whole and piece.last_bar() - piece.bar_ticks <= at < piece.last_bar()
        for i, a in enumerate(notes):
            for b in notes[i + 1 :]:
                if a.letter != b.letter or a.alter != b.alter or max(a.start, b.start) < at:
                    continue
                inflected = a.alter > piece.scale[a.letter] and at < piece.last_bar()
                doubled = piece.rules != "strict16" and leading(piece, a)
                if (
                    inflected
                    or (doubled and at < piece.last_bar())
                    or (close and leading(piece, a) and not phrygian(piece))
                ):
                    yield piece.finding("double-tendency", at, at, a.voice, b.voice)


def false_relations(piece: Piece) -> Iterator[Finding]:
    """Strict: a letter in one outer voice, and within a quarter its altered form in the other."""
    if piece.rules != "strict16" or piece.parts < 2:
        return
    top, low = piece.lines[0], piece.lines[-1]
    for a in top:
        for b in low:
            first, second = sorted((a, b), key=lambda n: n.start)
            if a.letter == b.letter and a.alter != b.alter and second.start - first.end < TICKS:
                yield piece.finding("cross-relation", first.start, second.start, a.voice, b.voice)


def sixth_and_seventh(piece: Piece, line: tuple[Tone, ...]) -> Iterator[Finding]:
    """Raised notes go up, natural ones down."""
    five, six, seven = ((piece.final_place + k) % 7 for k in (4, 5, 6))
    for a, b in pairwise(line):
        if a.end != b.start:
            continue
        bad = False
        raised = {n: n.alter - piece.scale[n.letter] == 1 for n in (a, b)}
        if a.letter == seven and raised[a]:
            bad = b.letter == six
        elif a.letter == six and raised[a]:
            bad = not (b.letter == seven and raised[b] and step(a, b) == 1)
        elif a.letter == seven:
            bad = step(a, b) == 1
        elif a.letter == six:
            bad = (b.letter == seven and step(a, b) == 1) or (
                b.letter == seven and raised[b] and abs(move(a, b)[0]) == 1
            )
        if b.letter == six and raised[b] and a.letter not in (five, six) and not (a.letter == seven and raised[a]):
            bad = True
        if bad:
            yield piece.finding("minor-6-7", a.start, b.start, a.voice)
