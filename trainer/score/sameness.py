"""Which bars of two scores are the same music: what an edited exercise keeps, and where an excerpt comes from.

A bar is its meter and what every voice sounds in it, note by note, cut at its bar lines; titles, words, tempo and a key to which it was
moved for a singer do not count. Whether a note was held over from the bar before counts too, except in the first bar of a score, which
an excerpt may have cut off.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from trainer.score.model import Line, Score
from trainer.score.moved import as_written
from trainer.score.time import Bar

DIGEST_DIGITS = 32


@dataclass(frozen=True, slots=True)
class BarMusic:
    """One bar's name by its music.

    Parameters
    ----------
    number : int
    printed : str
    digest : str
    as_first : str
        The digest it would have as the first bar of a score.
    """

    number: int
    printed: str
    digest: str
    as_first: str


def bar_music(score: Score) -> tuple[BarMusic, ...]:
    """Every bar of a score in reading order, at the pitch at which it is written."""
    score = as_written(score)
    at = [0] * len(score.lines)
    found = []
    for bar in score.bars().bars:
        head = f"{bar.meter} {bar.length_quarters}"
        voices = [_inside(line, bar, at, index) for index, line in enumerate(score.lines)]
        whole = "\n".join([head, *("line " + " ".join(words) for words in voices)])
        found.append(BarMusic(bar.number, bar.printed, _digest(whole), _digest(whole.replace("~", ""))))
    first = found[0]
    return (BarMusic(first.number, first.printed, first.as_first, first.as_first), *found[1:])


def matched(old: Sequence[BarMusic], new: Sequence[BarMusic]) -> dict[int, int]:
    """Bar numbers of *old* with those of *new* that are the same music, in order; where music repeats, printed numbers decide."""
    # what is equal at both ends is taken off first, where its printed numbers leave no choice
    head = 0
    while head < min(len(old), len(new)) and _same_place(old, head, new, head):
        head += 1
    tail = 0
    while tail < min(len(old), len(new)) - head and _same_place(old, len(old) - 1 - tail, new, len(new) - 1 - tail):
        tail += 1
    pairs = [(k, k) for k in range(head)]
    if head < len(old) - tail and head < len(new) - tail:
        pairs += _longest(old, range(head, len(old) - tail), new, range(head, len(new) - tail))
    pairs += [(len(old) - tail + k, len(new) - tail + k) for k in range(tail)]
    return {old[i].number: new[j].number for i, j in pairs}


def rewritten(old: Sequence[BarMusic], new: Sequence[BarMusic]) -> dict[int, int]:
    """Bar numbers of *old* with those of *new* that stand in their place with other music: as many between the same neighbours."""
    same = matched(old, new)
    place_old = {bar.number: k for k, bar in enumerate(old)}
    place_new = {bar.number: k for k, bar in enumerate(new)}
    fixed = [(-1, -1), *((place_old[a], place_new[b]) for a, b in same.items()), (len(old), len(new))]
    found: dict[int, int] = {}
    for (i, j), (next_i, next_j) in pairwise(fixed):
        if next_i - i == next_j - j:
            found |= {old[i + k].number: new[j + k].number for k in range(1, next_i - i)}
    return found


def shared_bars(old: Sequence[BarMusic], new: Sequence[BarMusic]) -> int:
    """How many bars of the two are the same music."""
    return len(matched(old, new))


def _inside(line: Line, bar: Bar, at: list[int], index: int) -> list[str]:
    end = bar.onset_quarters + bar.length_quarters
    notes = line.notes
    while at[index] < len(notes) and notes[at[index]].end_quarters <= bar.onset_quarters:
        at[index] += 1
    words, k = [], at[index]
    while k < len(notes) and notes[k].onset_quarters < end:
        note = notes[k]
        begin, stop = max(note.onset_quarters, bar.onset_quarters), min(note.end_quarters, end)
        held = "~" if note.onset_quarters < bar.onset_quarters else ""
        words.append(f"{held}{note.pitch}:{begin - bar.onset_quarters}:{stop - begin}")
        k += 1
    return words


def _same(old: Sequence[BarMusic], i: int, new: Sequence[BarMusic], j: int) -> bool:
    if i and j:
        return old[i].digest == new[j].digest
    return old[i].as_first == new[j].as_first


def _same_place(old: Sequence[BarMusic], i: int, new: Sequence[BarMusic], j: int) -> bool:
    return old[i].printed == new[j].printed and _same(old, i, new, j)


def _longest(old: Sequence[BarMusic], rows: range, new: Sequence[BarMusic], columns: range) -> list[tuple[int, int]]:
    """The longest common row of bars, one with its own printed number worth half a bar more (dynamic programming)."""
    worth = [[0] * (len(columns) + 1) for _ in range(len(rows) + 1)]

    def pair(i: int, j: int) -> int:
        return (3 if old[i].printed == new[j].printed else 2) if _same(old, i, new, j) else 0

    for a in range(len(rows) - 1, -1, -1):
        for b in range(len(columns) - 1, -1, -1):
            here = pair(rows[a], columns[b])
            together = here + worth[a + 1][b + 1] if here else 0
            worth[a][b] = max(together, worth[a + 1][b], worth[a][b + 1])
    found, a, b = [], 0, 0
    while a < len(rows) and b < len(columns):
        here = pair(rows[a], columns[b])
        if here and worth[a][b] == here + worth[a + 1][b + 1]:
            found.append((rows[a], columns[b]))
            a, b = a + 1, b + 1
        elif worth[a][b] == worth[a + 1][b]:
            a += 1
        else:
            b += 1
    return found


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:DIGEST_DIGITS]
