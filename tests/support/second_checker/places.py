"""Where the voices lie against each other: crossings, unisons, spacing, all moving one way, endless parallels."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from second_checker.piece import Finding, Piece, Tone, move, sign


def find(piece: Piece) -> Iterator[Finding]:
    yield from crossings(piece)
    yield from unisons(piece)
    yield from spacing(piece)
    yield from together(piece)
    yield from endless(piece)


def strong_times(piece: Piece) -> list[int]:
    return [bar * piece.bar_ticks for bar in range(piece.bars)]


def crossings(piece: Piece) -> Iterator[Finding]:
    last = piece.last_bar()
    for at in strong_times(piece):
        if at == last and not piece.whole:
            continue
        ends = at in (0, last)
        for upper, lower in pairwise(piece.at(at)):
            if upper is None or lower is None or upper.midi >= lower.midi:
                continue
            if ends and not licensed_ends(piece, upper, lower):
                yield piece.finding("crossing-at-ends", at, at, upper.voice, lower.voice)
            elif not ends and piece.rules != "strict16":
                yield piece.finding("crossing", at, at, upper.voice, lower.voice)


def licensed_ends(piece: Piece, upper: Tone, lower: Tone) -> bool:
    """Fux, figs 113 and 195: two upper voices may begin or end crossed by a third or fourth."""
    near = lower.place - upper.place <= 3
    return piece.rules == "strict16" and near and max(upper.voice, lower.voice) < piece.parts - 1


def unisons(piece: Piece) -> Iterator[Finding]:
    if piece.parts > 2 or piece.rules == "tonal":
        return
    for at in strong_times(piece)[1:-1] if piece.whole else strong_times(piece)[1:]:
        upper, lower = piece.at(at)
        if upper is not None and lower is not None and upper.midi == lower.midi:
            yield piece.finding("unison-inside", at, at, 0, 1)


def spacing(piece: Piece) -> Iterator[Finding]:
    """Tonal: upper neighbours an octave apart at most, a ninth or tenth for two chords running, never more.

    Two parts may lie a twelfth apart for a moment.
    """
    if piece.rules != "tonal":
        return
    widest = 11 if piece.parts == 2 else 9
    for v in range(max(piece.parts - 2, 1)):
        for at in piece.times:
            upper, lower = piece.at(at)[v], piece.at(at)[v + 1]
            if upper is not None and lower is not None and upper.place - lower.place > widest:
                yield piece.finding("spacing-upper", at, at, v, v + 1)
    for v in range(piece.parts - 2):
        wide: list[int] = []
        for at in piece.times if piece.parts > 2 else ():
            upper, lower = piece.at(at)[v], piece.at(at)[v + 1]
            if upper is None or lower is None:
                continue
            apart = upper.place - lower.place
            wide = [*wide, at] if apart > 7 else []
            if len(wide) > 2:
                yield piece.finding("spacing-upper", at, at, v, v + 1)


def together(piece: Piece) -> Iterator[Finding]:
    """Strict: all voices into a new chord the same way, one of them by more than a third."""
    if piece.rules != "strict16" or piece.parts < 3:
        return
    for then, now in pairwise(piece.times):
        first, second = piece.at(then), piece.at(now)
        if any(n is None or n.start != now for n in second) or any(n is None for n in first):
            continue
        ways = [move(a, b)[0] for a, b in zip(first, second, strict=True) if a is not None and b is not None]
        if len({sign(way) for way in ways}) == 1 and ways[0] and not licensed_march(piece, ways):
            yield piece.finding("all-same-way", then, now, *range(piece.parts))


def licensed_march(piece: Piece, ways: list[int]) -> bool:
    """Steps and thirds are only to be avoided.

    Fux, figs 105, 115, 117 let one voice go a fourth while the others step; in fig. 126 the cantus itself leaps an octave.
    """
    sizes = sorted(abs(way) for way in ways)
    if sizes[-1] <= 2 or (sizes[-1] == 3 and sizes[-2] == 1):
        return True
    return piece.cantus is not None and abs(ways[piece.cantus]) == 7


def endless(piece: Piece) -> Iterator[Finding]:
    """Strict: the outer voices too long in thirds, or in sixths.

    Four running are too many in two parts. Fux has four and five in three and four parts (figs 105, 109, 112, 113, 117, 172, 195).
    """
    if piece.rules != "strict16":
        return
    too_many = 4 if piece.parts == 2 else 6
    top, low = 0, piece.parts - 1
    for kind in (2, 5):
        run: list[int] = []
        times = sorted({n.start for v in (top, low) for n in piece.lines[v]})
        for at in times:
            a, b = piece.at(at)[top], piece.at(at)[low]
            same = a is not None and b is not None and abs(a.place - b.place) % 7 == kind
            moved = same and a is not None and b is not None and a.start == at and b.start == at
            if moved and run and one_way(piece, run[-1], at, top, low):
                run.append(at)
            elif same:
                run = [at]
            else:
                run = []
            if len(run) == too_many:
                yield piece.finding("too-many-parallel-imperfect", run[0], at, top, low)


def one_way(piece: Piece, then: int, now: int, top: int, low: int) -> bool:
    a1, b1, a2, b2 = piece.at(then)[top], piece.at(then)[low], piece.at(now)[top], piece.at(now)[low]
    if a1 is None or b1 is None or a2 is None or b2 is None:
        return False
    return sign(move(a1, a2)[0]) == sign(move(b1, b2)[0]) != 0
