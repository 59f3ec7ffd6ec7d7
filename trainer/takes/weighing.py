"""Weights fitted to the takes kept here: every bar sung without the guide, with what stands in it, held or failed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from itertools import groupby

from trainer.log.history import BarTaken, History, LineTaken
from trainer.log.outcome import CHORDS
from trainer.log.store import Store
from trainer.plan.returns import IN_COMPANY
from trainer.practice.clean import WRONG
from trainer.rules.piece import FREE, Piece
from trainer.singable.by_bar import danger_points, difficulty_points
from trainer.singable.part import Part
from trainer.singable.weights import Points, SungBar, Weights, fitted

LEAST_TAKES, LEAST_FAILED = 10, 10
"""Fewer takes, or fewer failed bars, than these say nothing yet (our own; a bench prints how fast the fit learns)."""

Counted = Callable[[LineTaken, BarTaken], bool]


def weights_of_takes(store: Store) -> Weights:
    """Fitted where there are enough takes, else with counts only: ``enough`` tells which."""
    sung = _sung(History(store))
    failed = sum(bar.outcome.held < bar.outcome.judged for _, bar in sung)
    found = Weights(takes=len({line.number for line, _ in sung}), failed_bars=failed)
    if not enough(found):
        return found
    parts = _Parts(store)
    difficulties = _bars(sung, lambda _, bar: bar.outcome.held < bar.outcome.judged, parts.difficulties)
    beside = [(line, bar) for line, bar in sung if line.company in IN_COMPANY]
    dangers = _bars(beside, lambda _, bar: bar.outcome.cause in WRONG, parts.dangers)
    return Weights(tuple(fitted(difficulties).items()), tuple(fitted(dangers).items()), found.takes, failed)


def enough(weights: Weights) -> bool:
    """Whether so many takes say something."""
    return weights.takes >= LEAST_TAKES and weights.failed_bars >= LEAST_FAILED


def _sung(history: History) -> list[tuple[LineTaken, BarTaken]]:
    """Every bar that could be judged, with the take it was sung in; with the guide nobody shows what is hard."""
    found = []
    lines = sorted(history.lines(), key=lambda one: (one.exercise, one.line, one.number))
    for (exercise, index), taken in groupby(lines, key=lambda one: (one.exercise, one.line)):
        by_number = {
            one.number: one for one in taken if one.source == "sung" and one.guide == "off" and one.part != CHORDS
        }
        for bar in history.bars(exercise, index):
            if bar.number in by_number and bar.outcome.judged:
                found.append((by_number[bar.number], bar))
    return found


def _bars(
    sung: Sequence[tuple[LineTaken, BarTaken]],
    fails: Counted,
    points_of: Callable[[LineTaken, BarTaken], Points | None],
) -> list[SungBar]:
    """Takes of one bar of one line together."""
    counts: dict[tuple[str, int, int], list[int]] = defaultdict(lambda: [0, 0])
    first: dict[tuple[str, int, int], tuple[LineTaken, BarTaken]] = {}
    for line, bar in sung:
        key = (bar.music_digest, line.line, bar.outcome.bar)
        counts[key][fails(line, bar)] += 1
        first.setdefault(key, (line, bar))
    bars = [(points_of(*first[key]), held, failed) for key, (held, failed) in counts.items()]
    return [SungBar(points, held, failed) for points, held, failed in bars if points is not None]


class _Parts:
    """The points of every bar of a line of a version, read from the first take of it and looked at once."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._pieces: dict[str, Piece] = {}
        self._known: dict[tuple[str, str, int], dict[int, Points]] = {}

    def difficulties(self, line: LineTaken, bar: BarTaken) -> Points | None:
        return self._points("difficulties", difficulty_points, line, bar)

    def dangers(self, line: LineTaken, bar: BarTaken) -> Points | None:
        return self._points("dangers", danger_points, line, bar)

    def _points(
        self, what: str, look: Callable[[Part], dict[int, Points]], line: LineTaken, bar: BarTaken
    ) -> Points | None:
        key = (what, bar.music_digest, line.line)
        if key not in self._known:
            piece = self._pieces.get(bar.music_digest)
            if piece is None:
                piece = self._pieces[bar.music_digest] = Piece(self._store.cover(bar.number).score, FREE)
            self._known[key] = look(Part(piece, line.line))
        return self._known[key].get(bar.outcome.bar)
