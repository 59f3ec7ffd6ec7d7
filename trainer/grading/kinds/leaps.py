"""Steps only, big leaps, odd leaps, leaps running."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from trainer.grading.declare import Crux, CruxKind
from trainer.grading.words import bar, bars, count, interval
from trainer.rules.intervals import name
from trainer.rules.texture import Tone
from trainer.singable.part import Part

BIG_LETTERS, FOURTH_LETTERS, THIRD_LETTERS = 4, 3, 2
"""A fifth and more is a big leap (our own: wider than a fourth)."""

Move = tuple[Tone, Tone]


def moves(part: Part) -> list[Move]:
    """Every two notes that follow each other, across rests too."""
    return list(pairwise(part.line))


def wide(move: Move) -> int:
    """Letters between the two."""
    return abs(move[1].dia - move[0].dia)


def is_odd(move: Move) -> bool:
    """Whether the move is augmented or diminished."""
    return name(*move)[0] in "Ad" and move[0].midi != move[1].midi


def _widest(part: Part) -> int:
    return max((wide(move) for move in moves(part)), default=0)


def _steps_only(part: Part) -> Iterator[Crux]:
    if len(part.line) > 1 and _widest(part) <= 1:
        yield Crux("steps-only", "steps only", 40)


def _thirds(part: Part) -> Iterator[Crux]:
    if _widest(part) == THIRD_LETTERS:
        yield Crux("small-leaps", "steps and thirds only", 14)


def _fourths(part: Part) -> Iterator[Crux]:
    if _widest(part) == FOURTH_LETTERS:
        found = [move for move in moves(part) if wide(move) == FOURTH_LETTERS]
        where = bars(bar(part.texture, after.on) for _, after in found)
        yield Crux(
            "fourths", f"{count(len(found))} {'fourth' if len(found) == 1 else 'fourths'} in {where}", 18, len(found)
        )


def _big(part: Part) -> Iterator[Crux]:
    found = [move for move in moves(part) if wide(move) >= BIG_LETTERS and not is_odd(move)]
    if not found:
        return
    before, after = max(found, key=lambda move: (wide(move), -move[1].on))
    where = bar(part.texture, after.on)
    weight = 30 + 8 * (wide((before, after)) - BIG_LETTERS) + 4 * len(found)
    if len(found) == 1:
        yield Crux("big-leap", f"one big leap: {interval(before, after)} in bar {where}", weight)
        return
    says = f"{count(len(found))} big leaps, the widest {interval(before, after)} in bar {where}"
    yield Crux("big-leap", says, weight, len(found))


def _odd(part: Part) -> Iterator[Crux]:
    found = [move for move in moves(part) if is_odd(move)]
    if found:
        before, after = found[0]
        more = f", and {count(len(found) - 1)} more like it" if len(found) > 1 else ""
        says = f"{interval(before, after)} in bar {bar(part.texture, after.on)}{more}"
        yield Crux("odd-leap", says, 80, len(found))


def _running(part: Part) -> Iterator[Crux]:
    found = [
        second[1].on
        for first, second in pairwise(moves(part))
        if wide(first) >= THIRD_LETTERS and wide(second) >= THIRD_LETTERS and wide(first) + wide(second) >= 5
    ]
    if found:
        says = f"two leaps running in {bars(bar(part.texture, at) for at in found)}"
        yield Crux("leaps-running", says, 24 + 2 * len(found), len(found))


KINDS = (
    CruxKind("steps-only", ("steps only", "only steps"), _steps_only),
    CruxKind("small-leaps", ("steps and thirds only", "small leaps"), _thirds),
    CruxKind("fourths", ("fourth", "one fourth"), _fourths),
    CruxKind("big-leap", ("big leap", "one big leap", "big leaps"), _big),
    CruxKind("odd-leap", ("odd leap", "augmented leap", "diminished leap"), _odd),
    CruxKind("leaps-running", ("leaps running", "two leaps running"), _running),
)
