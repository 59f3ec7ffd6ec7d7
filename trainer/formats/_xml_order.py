"""The order in which written measures are sung: simple repeats with their endings, unfolded."""

from __future__ import annotations

from trainer.errors import ScoreError
from trainer.formats import MOST_BARS
from trainer.formats._xml_measures import Measure


def sung_order(measures: tuple[Measure, ...], path: str) -> list[tuple[int, int]]:
    """(index of the measure, which time through) in sung order. Raises ScoreError when that never ends."""
    endings = _endings(measures)
    order: list[tuple[int, int]] = []
    start, through, index = 0, 1, 0
    while index < len(measures):
        measure = measures[index]
        if measure.repeat_from and index > start and through == 1:
            start = index
        if endings[index] and through not in endings[index]:
            index += 1
            continue
        order.append((index, through))
        if len(order) > MOST_BARS:
            raise ScoreError(
                f"with its repeats the file has more than {MOST_BARS} measures", path, "write fewer repeats"
            )
        if measure.repeat_times and through < _times(measures, endings, start, index):
            through, index = through + 1, start
            continue
        if measure.repeat_times or _leaves_endings(endings, index):
            start, through = index + 1, 1
        index += 1
    return order


def _endings(measures: tuple[Measure, ...]) -> list[frozenset[int]]:
    """The times through at which each measure is sung; empty for always."""
    inside: frozenset[int] = frozenset()
    found = []
    for measure in measures:
        if measure.ending_starts:
            inside = frozenset(measure.ending_starts)
        found.append(inside)
        if measure.ending_stops:
            inside = frozenset()
    return found


def _times(measures: tuple[Measure, ...], endings: list[frozenset[int]], start: int, index: int) -> int:
    """How often the section from *start* is sung: as its endings say, else as the sign says."""
    if not endings[index]:
        return measures[index].repeat_times
    last = index
    while last + 1 < len(measures) and endings[last + 1]:
        last += 1
    return max(max(numbers) for numbers in endings[start : last + 1] if numbers)


def _leaves_endings(endings: list[frozenset[int]], index: int) -> bool:
    return bool(endings[index]) and (index + 1 == len(endings) or not endings[index + 1])
