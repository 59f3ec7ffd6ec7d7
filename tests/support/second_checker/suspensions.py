"""Notes held over a bar line: how they are prepared, what they wait for, how they resolve."""

from __future__ import annotations

from collections.abc import Iterator

from second_checker.piece import Finding, Piece, Tone, agree, lowest, move, simple, step


def find(piece: Piece) -> Iterator[Finding]:
    yield from ninths(piece)
    for voice, line in enumerate(piece.lines):
        if not piece.quick(voice):
            continue
        for held in line:
            over = (held.start // piece.bar_ticks + 1) * piece.bar_ticks
            if held.start < over < held.end and agents(piece, held, over):
                yield from judge(piece, held, over)


def ninths(piece: Piece) -> Iterator[Finding]:
    """Strict, two parts: one 9-8 is only to be avoided, a second one is forbidden, and so is any 2-1."""
    if piece.rules != "strict16" or piece.parts != 2:
        return
    seen = 0
    for held in piece.lines[0]:
        over = (held.start // piece.bar_ticks + 1) * piece.bar_ticks
        low = piece.at(over)[1] if held.start < over < held.end else None
        if low is not None and low.start == over and simple(held, low)[0] == 1 and resolution(piece, held, over):
            seen += 1
            if seen > 1 or held.place - low.place == 1:
                yield piece.finding("susp-figure", over, over + piece.bar_ticks // 2, 0, 1)


def agents(piece: Piece, held: Tone, over: int) -> list[Tone]:
    """The notes that make a held note dissonant at a bar line, slower voices only when there are any."""
    sounding = piece.at(over)
    bass = lowest(sounding)
    return [n for n in sounding if n is not None and n is not held and n.start == over and not agree(held, n, bass)]


def only_passes(piece: Piece, held: Tone, over: int) -> bool:
    """Whether all that clashes is a quarter of another moving voice that comes and goes by step."""
    for note in agents(piece, held, over):
        before, after = piece.before(note), piece.after(note)
        if note.length > piece.bar_ticks // 4 or before is None or after is None:
            return False
        if not step(before, note) or not step(note, after):
            return False
    return True


def resolution(piece: Piece, held: Tone, over: int) -> Tone | None:
    """The note a step lower on the middle of the bar."""
    middle = over + piece.bar_ticks // 2
    if held.end > middle:
        return None
    note = piece.at(middle)[held.voice]
    if note is None or step(held, note) != -1:
        return None
    return note if note.start == middle else None


def judge(piece: Piece, held: Tone, over: int) -> Iterator[Finding]:
    if only_passes(piece, held, over):
        return
    middle = over + piece.bar_ticks // 2
    if middle >= piece.end:
        return
    yield from prepared(piece, held, over)
    goal = resolution(piece, held, over)
    if goal is None:
        if not lawful_rise(piece, held, middle):
            rule = (
                "susp-resolve-down"
                if held.end >= middle or piece.species[held.voice] != "5"
                else "ornamented-resolution"
            )
            yield piece.finding(rule, over, middle, held.voice)
        return
    bass = lowest(piece.at(middle))
    if bass is not None and bass is not goal and not agree(goal, bass, bass) and not standing(piece, goal, bass):
        yield piece.finding("susp-resolve-down", over, middle, held.voice)
    if held.end < middle and not lawful_ornament(piece, held, goal):
        yield piece.finding("ornamented-resolution", over, middle, held.voice)
    yield from company(piece, held, goal, over, middle)


def prepared(piece: Piece, held: Tone, over: int) -> Iterator[Finding]:
    """The held note must have begun as a consonance over the lowest voice."""
    sounding = piece.at(held.start)
    bass = lowest(sounding)
    if bass is None or bass is held or agree(held, bass, bass):
        others = [n for n in sounding if n is not None and n is not held]
        if bass is not held or all(agree(held, n, bass) for n in others):
            return
    if not standing(piece, held, bass):
        yield piece.finding("susp-prep", held.start, over, held.voice)


def standing(piece: Piece, note: Tone, bass: Tone) -> bool:
    """Fux, fig. 141: a fourth over a bass that is struck again with the same note."""
    again = piece.after(bass)
    return piece.rules == "strict16" and simple(note, bass) == (3, 5) and again is not None and again.midi == bass.midi


def lawful_rise(piece: Piece, held: Tone, middle: int) -> bool:
    """The tonal set lets a held leading tone rise to the final."""
    after = piece.after(held)
    if piece.rules != "tonal" or after is None or after.start != middle:
        return False
    return move(held, after) == (1, 1) and after.midi % 12 == piece.final_pitch_class


ONE_QUARTER = {-1, -2, 0, 1, -4}
"""Staff places from a suspension to the quarter before its resolution: early, third below, struck again, above, fifth below."""


def lawful_ornament(piece: Piece, held: Tone, goal: Tone) -> bool:
    between = [n for n in piece.lines[held.voice] if held.end <= n.start < goal.start]
    if held.end % TICKS_OF_A_QUARTER or goal.start - held.end != TICKS_OF_A_QUARTER:
        return False
    if len(between) == 1:
        (note,) = between
        if move(held, note)[0] not in ONE_QUARTER:
            return False
        bass = lowest(piece.at(note.start))
        leaps = abs(move(held, note)[0]) > 1
        return not leaps or all(n is None or n is note or agree(n, note, bass) for n in piece.at(note.start))
    return [move(held, n)[0] for n in between] == [-1, -2]


TICKS_OF_A_QUARTER = 8


def company(piece: Piece, held: Tone, goal: Tone, over: int, middle: int) -> Iterator[Finding]:
    """What the other voices may not do while a note is suspended."""
    sounding = piece.at(over)
    bass = lowest(sounding)
    clashing = agents(piece, held, over)
    for note in sounding:
        if note is None or note is held:
            continue
        if note.midi % 12 == goal.midi % 12 and not may_wait_below(note, held, bass, clashing):
            yield piece.finding("susp-note-anticipated", over, middle, held.voice, note.voice)
        if note.letter == held.letter:
            yield piece.finding("double-suspended", over, middle, held.voice, note.voice)
        if note in clashing and not stays(piece, note, held is bass, middle):
            yield piece.finding("susp-bass-still", over, middle, held.voice, note.voice)


def may_wait_below(note: Tone, held: Tone, bass: Tone | None, clashing: list[Tone]) -> bool:
    """The bass under a ninth, or the one voice over a suspended bass, has the note of resolution."""
    return note is bass or (held is bass and len(clashing) == 1)


def stays(piece: Piece, note: Tone, above: bool, middle: int) -> bool:
    """Whether the note that clashes waits for the resolution: past it in the strict style, up to it elsewhere.

    Over a suspended bass it may move with the resolution (Fux, fig. 197).
    """
    if note.end > middle or (piece.species[note.voice] == "3" and note.end < middle):
        return True
    after = piece.after(note)
    if note.end == middle:
        return piece.rules != "strict16" or above or after is None or after.letter == note.letter
    return False
