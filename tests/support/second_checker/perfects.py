"""Consecutive and hidden fifths, octaves and unisons, for every pair of voices."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, pairwise

from second_checker.piece import OVER_THE_BASS, Finding, Piece, Tone, move, perfect, sign, simple


def find(piece: Piece) -> Iterator[Finding]:
    for upper, lower in combinations(range(piece.parts), 2):
        adjacent = list(neighbours(piece, upper, lower))
        yield from adjacent
        arrivals = {(f.to_bar, f.to_beat) for f in adjacent if not f.rule.startswith("direct")}
        far = [f for f in downbeats(piece, upper, lower) if (f.to_bar, f.to_beat) not in arrivals]
        yield from far
        yield from behind_ties(piece, upper, lower)


def pair_times(piece: Piece, upper: int, lower: int) -> list[int]:
    return sorted({n.start for v in (upper, lower) for n in piece.lines[v]})


def outer(piece: Piece, upper: int, lower: int) -> bool:
    return upper == 0 and lower == piece.parts - 1


def neighbours(piece: Piece, upper: int, lower: int) -> Iterator[Finding]:
    """Faults between one moment and the next."""
    for before, now in pairwise(pair_times(piece, upper, lower)):
        first, second = piece.at(before), piece.at(now)
        a1, a2, b1, b2 = first[upper], second[upper], first[lower], second[lower]
        if a1 is None or a2 is None or b1 is None or b2 is None:
            continue
        if a1.midi == a2.midi or b1.midi == b2.midi or a1.end != a2.start or b1.end != b2.start:
            continue
        kind = perfect(a2, b2)
        if not kind:
            continue
        similar = sign(a2.midi - a1.midi) == sign(b2.midi - b1.midi)
        named = "unison" if a2.place == b2.place and a2.midi == b2.midi else kind
        if perfect(a1, b1) == kind:
            if similar:
                both = named == "unison" and a1.place == b1.place
                yield piece.finding("parallel-" + (kind if not both else "unison"), before, now, upper, lower)
            elif piece.parts < 4 and piece.rules != "tonal":
                yield piece.finding("antiparallel-" + kind, before, now, upper, lower)
        elif similar and forbidden_direct(piece, upper, lower, named, (a1, a2, b1, b2)):
            yield piece.finding("direct-" + named, before, now, upper, lower)


def forbidden_direct(piece: Piece, upper: int, lower: int, named: str, notes: tuple[Tone, Tone, Tone, Tone]) -> bool:
    a1, a2, b1, _b2 = notes
    now = a2.start
    leaps = abs(move(a1, a2)[0]) > 1
    if named == "unison":
        return piece.rules != "tonal" and now < piece.last_bar()
    if piece.parts == 2:
        return piece.rules != "tonal" or leaps
    if not outer(piece, upper, lower) or not leaps:
        return False
    return not (one_chord(piece, a1, b1, now) or someone_holds(piece, upper, lower, now))


def one_chord(piece: Piece, a1: Tone, b1: Tone, now: int) -> bool:
    """Whether the voices only change places inside one chord."""
    first = {n.letter for n in piece.at(max(a1.start, b1.start)) if n is not None}
    second = {n.letter for n in piece.at(now) if n is not None}
    together = first | second
    return len(together) <= 3 and any({root, (root + 2) % 7, (root + 4) % 7} >= together for root in range(7))


def someone_holds(piece: Piece, upper: int, lower: int, now: int) -> bool:
    """Whether a third voice is tied over the move."""
    return any(n is not None and n.voice not in (upper, lower) and n.start < now for n in piece.at(now))


def downbeats(piece: Piece, upper: int, lower: int) -> Iterator[Finding]:
    """Equal perfect consonances on two accents with notes between: first and third quarter of a bar, either and the next first."""
    if piece.rules == "tonal" or not {piece.species[upper], piece.species[lower]} & {"2", "3", "5"}:
        return
    half = piece.bar_ticks // 2
    for bar in range(piece.bars - 1):
        yield from inside(piece, upper, lower, bar * piece.bar_ticks)
    for bar in range(1, piece.bars):
        now = bar * piece.bar_ticks
        for back, rule in ((half, "parallel-3-to-1"), (piece.bar_ticks, "parallel-strong")):
            then = now - back
            first, second = piece.at(then), piece.at(now)
            a1, a2, b1, b2 = first[upper], second[upper], first[lower], second[lower]
            if a1 is None or a2 is None or b1 is None or b2 is None:
                continue
            kind = perfect(a1, b1)
            if not kind or kind != perfect(a2, b2) or not parallel(a1, a2, b1, b2):
                continue
            if a2.start < now or b2.start < now or (a1.start < then and back == half and not quick_pair(a1, b1, then)):
                continue
            if not moved_away(piece, upper, lower, then, now, kind):
                continue
            if not saved(piece, upper, lower, then, now):
                yield piece.finding(rule, then, now, upper, lower)
                break


def inside(piece: Piece, upper: int, lower: int, then: int) -> Iterator[Finding]:
    """Rockstro, p. 743: the first and the third quarter of one bar."""
    now = then + piece.bar_ticks // 2
    (a1, a2), (b1, b2) = ((piece.at(then)[v], piece.at(now)[v]) for v in (upper, lower))
    if a1 is None or a2 is None or b1 is None or b2 is None or a2.start < now or b2.start < now:
        return
    same = perfect(a1, b1) and perfect(a1, b1) == perfect(a2, b2) and parallel(a1, a2, b1, b2)
    if (
        same
        and moved_away(piece, upper, lower, then, now, str(perfect(a1, b1)))
        and not saved(piece, upper, lower, then, now)
    ):
        yield piece.finding("parallel-3-to-1", then, now, upper, lower)


def parallel(a1: Tone, a2: Tone, b1: Tone, b2: Tone) -> bool:
    """Whether both voices end on the same side of where they were: apart or together they make no parallels over a bar."""
    return sign(move(a1, a2)[0]) == sign(move(b1, b2)[0]) != 0


def quick_pair(a: Tone, b: Tone, at: int) -> bool:
    """One of two voices strikes at this moment."""
    return a.start == at or b.start == at


def moved_away(piece: Piece, upper: int, lower: int, then: int, now: int, kind: str) -> bool:
    between = [t for t in pair_times(piece, upper, lower) if then < t < now]
    for t in between:
        a, b = piece.at(t)[upper], piece.at(t)[lower]
        if a is None or b is None or perfect(a, b) != kind:
            return True
    return False


def saved(piece: Piece, upper: int, lower: int, then: int, now: int) -> bool:
    """Whether a leap of a fourth lies between, the second is reached in contrary motion, or an inner part is concerned."""
    if piece.parts > 2 and not outer(piece, upper, lower):
        return True
    moves = []
    for voice in (upper, lower):
        notes = [n for n in piece.lines[voice] if n.end > then and n.start <= now]
        moves.append([move(a, b)[0] for a, b in pairwise(notes)])
        if any(abs(m) >= 3 for m in moves[-1]) and len(moves[-1]) > 1:
            return True
    return bool(moves[0] and moves[1]) and sign(moves[0][-1]) != sign(moves[1][-1])


def behind_ties(piece: Piece, upper: int, lower: int) -> Iterator[Finding]:
    """A chain of suspensions that only delays equal perfect consonances."""
    for tied, other in ((upper, lower), (lower, upper)):
        for bar in range(1, piece.bars - 1):
            first = delayed(piece, tied, other, bar * piece.bar_ticks)
            second = delayed(piece, tied, other, (bar + 1) * piece.bar_ticks)
            if first is None or second is None:
                continue
            (r1, w1), (r2, w2) = first, second
            kind = perfect(r1, w1)
            if not kind or kind != perfect(r2, w2) or r1.midi == r2.midi or w1.midi == w2.midi:
                continue
            if kind == "fifth" and (piece.rules == "tonal" or piece.parts > 2):
                continue
            if kind == "fifth" and piece.rules == "strict16" and tied == lower:
                continue  # Fux, fig. 76
            yield piece.finding("susp-chain-perfect", bar * piece.bar_ticks, r2.start, upper, lower)


def delayed(piece: Piece, tied: int, other: int, at: int) -> tuple[Tone, Tone] | None:
    """The resolution that a dissonance held over *at* delays, and what the other voice has there."""
    sounding = piece.at(at)
    held, note = sounding[tied], sounding[other]
    if held is None or note is None or held.start >= at or note.start != at:
        return None
    from second_checker.suspensions import resolution

    if simple(held, note) in OVER_THE_BASS:
        return None
    goal = resolution(piece, held, at)
    return None if goal is None else (goal, note)
