"""The order in which written measures are sung: repeats with their endings, da capo and dal segno, unfolded.

After a jump back, repeats are not taken again and the last ending is, as the trade does where nothing else is said (common practice,
no source); *Fine* and *To Coda* count only then.
"""

from __future__ import annotations

from trainer.errors import ScoreError
from trainer.formats import MOST_BARS
from trainer.formats._written import Measure


def sung_order(measures: tuple[Measure, ...], path: str) -> list[tuple[int, int]]:
    """(index of the measure, which time through) in sung order. Raises ScoreError when that never ends or leads nowhere."""
    _refuse_inner_jumps(measures, path)
    endings = _endings(measures)
    order: list[tuple[int, int]] = []
    start, through, index, jumped = 0, 1, 0, False
    while index < len(measures):
        measure = measures[index]
        if measure.repeat_from and index > start and through == 1:
            start = index
        last_time = _times(measures, endings, start, index) if jumped else through
        if endings[index] and last_time not in endings[index]:
            index += 1
            continue
        order.append((index, last_time))
        if len(order) > MOST_BARS:
            raise ScoreError(
                f"with its repeats the file has more than {MOST_BARS} measures", path, "write fewer repeats"
            )
        if jumped:
            if measure.fine:
                break
            index = _coda(measures, index, path) if measure.to_coda else index + 1
            start = index if measure.to_coda else start
            continue
        if measure.repeat_times and through < _times(measures, endings, start, index):
            through, index = through + 1, start
            continue
        if measure.jump:
            index, start, through, jumped = _back_to(measures, index, path), 0, 1, True
            continue
        if measure.repeat_times or _leaves_endings(endings, index):
            start, through = index + 1, 1
        index += 1
    return order


def _refuse_inner_jumps(measures: tuple[Measure, ...], path: str) -> None:
    for number, measure in enumerate(measures, start=1):
        at = measure.leaves_at
        if at > 0 and any(note.at >= at for part in measure.notes for note in part):
            raise ScoreError(
                f"a {'Fine' if measure.fine else 'jump back'} stands inside a measure, and notes come behind it",
                measure.where(path, number),
                "write the music out in the order in which it is sung",
            )


def _back_to(measures: tuple[Measure, ...], index: int, path: str) -> int:
    """Where a jump leads."""
    if measures[index].jump == "capo":
        return 0
    signs = [number for number, measure in enumerate(measures) if measure.segno]
    if len(signs) != 1:
        raise ScoreError(
            f"a dal segno finds {'several segno signs' if signs else 'no segno sign'} to go back to",
            measures[index].where(path, index + 1),
            "write the music out in the order in which it is sung",
        )
    return signs[0]


def _coda(measures: tuple[Measure, ...], index: int, path: str) -> int:
    for number in range(index + 1, len(measures)):
        if measures[number].coda:
            return number
    raise ScoreError(
        "the way to the coda leads to no coda sign",
        measures[index].where(path, index + 1),
        "write the music out in the order in which it is sung",
    )


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
    """How often the section around *index* is sung: as its endings say, else as the sign says."""
    if not endings[index]:
        return max(measures[index].repeat_times, 1)
    first = last = index
    while first > start and endings[first - 1]:
        first -= 1
    while last + 1 < len(measures) and endings[last + 1]:
        last += 1
    return max(max(numbers) for numbers in endings[first : last + 1])


def _leaves_endings(endings: list[frozenset[int]], index: int) -> bool:
    return bool(endings[index]) and (index + 1 == len(endings) or not endings[index + 1])
