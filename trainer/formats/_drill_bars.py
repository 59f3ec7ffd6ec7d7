"""A voice bar by bar in words that share each bar evenly: the notation of drill text, whatever its notes are called."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from fractions import Fraction

from trainer.formats._drill_words import BREATH, HOLD, REST
from trainer.formats._shares import share_counts
from trainer.score.model import Line, Note
from trainer.score.time import Bar


def bar_words(line: Line, bars: Sequence[Bar], say: Callable[[Note], str]) -> list[str]:
    """The text of each bar of one voice. *say* names a note; it is asked once a note, in their order."""
    moments = _Moments(line, say)
    return [moments.bar(bar) for bar in bars]


class _Moments:
    """Walks one voice bar by bar."""

    def __init__(self, line: Line, say: Callable[[Note], str]) -> None:
        self._notes, self._say = line.notes, say
        self._next = 0  # index of the first note that ends after the bar's start

    def bar(self, bar: Bar) -> str:
        """The voice's words of one bar; bars are asked for in order."""
        start, end = bar.onset_quarters, bar.onset_quarters + bar.length_quarters
        while self._next < len(self._notes) and self._notes[self._next].end_quarters <= start:
            self._next += 1
        inside = []
        for note in self._notes[self._next :]:
            if note.onset_quarters >= end:
                break
            inside.append(note)
        edges = {start, end}
        for note in inside:
            edges |= {max(note.onset_quarters, start), min(note.end_quarters, end)}
        share, groups = _division(bar, sorted(edge - start for edge in edges))
        words = []
        for index, pieces in enumerate(groups):
            at = start + index * share
            words.append(
                ",".join(
                    self._word(inside, at + piece * share / pieces, at + (piece + 1) * share / pieces)
                    for piece in range(pieces)
                )
            )
        return " ".join(words)

    def _word(self, inside: list[Note], start: Fraction, end: Fraction) -> str:
        for note in inside:
            if note.onset_quarters <= start < note.end_quarters:
                breath = BREATH if note.breath_after and end >= note.end_quarters else ""
                return (self._say(note) if note.onset_quarters == start else HOLD) + breath
        return REST


def _division(bar: Bar, edges: list[Fraction]) -> tuple[Fraction, list[int]]:
    """Length of a share and how many pieces each share is cut into: the way that takes the fewest pieces."""
    best: tuple[Fraction, list[int]] | None = None
    for count in share_counts(bar):
        share = bar.length_quarters / count
        pieces = [1] * count
        for edge in edges:
            index, inside = divmod(edge, share)
            if inside:
                pieces[int(index)] = math.lcm(pieces[int(index)], (inside / share).denominator)
        # plain shares read better than commas, so a comma costs as much as a word more
        if best is None or _cost(pieces) < _cost(best[1]):
            best = share, pieces
    if best is None:
        raise ValueError("a bar has at least one way to share it")
    return best


def _cost(pieces: list[int]) -> int:
    return sum(piece if piece == 1 else 2 * piece for piece in pieces)
