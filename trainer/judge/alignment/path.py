"""The cheapest way through the score that explains a line: dynamic programming over moments and notes.

A way goes from note to note; a note may be left out, and at any note the singer may go back to the beginning of a bar not long past.
Each note's stretch costs what its pitch costs there and how far its length lies from the singer's tempo. Ways much dearer than the
cheapest at the same moment are given up, so that the work grows with the length of the take and not with its square. The model is
a hidden semi-Markov one (Levinson 1986; for score following Cont 2010, from memory), its weights our own integers.
"""

from __future__ import annotations

import itertools
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from audio.units import RATE_HZ
from trainer.judge.alignment.costs import SUNG_OUTSIDE, WRONG_MOST, Cue, Sums, length

SKIPPED = 3_500
WENT_BACK = 4_000
STRAIGHT_BACK = 500
"""More where nothing was heard to stop: whoever goes back has noticed something, and takes a breath."""
PAUSED_FRAMES = 3 * RATE_HZ // 20
BEGUN_LATER = 3_000
ENDED_BEFORE = 3_000
"""Both besides what the notes never come to cost as left out."""
BARS_BACK = 4
GIVEN_UP = 14_000
LONGEST = 4
LONGEST_WAIT_FRAMES = 3 * RATE_HZ
FAR = 1 << 60

Row = dict[int, tuple[int, tuple[int, int] | None]]
"""Item to points and where the way came from."""


@dataclass(frozen=True, slots=True)
class Item:
    """One thing asked for in order: a note's reference (None is a rest), and how long it lasts in the singer's tempo."""

    pitch_c100: int | None
    expected_frames: int


@dataclass(frozen=True, slots=True)
class Passed:
    """An item and the stretch taken for it; one left out has no length."""

    item: int
    from_frame: int
    to_frame: int


def cheapest(
    items: Sequence[Item], bar_starts: Sequence[int], cues: Sequence[Cue], sums: Sums
) -> tuple[int, list[Passed]]:
    """Points and stretches, in the order sung.

    Parameters
    ----------
    items : sequence of Item
    bar_starts : sequence of int
        Items with which a bar begins.
    cues : sequence of Cue
    sums : Sums
    """
    count = len(items)
    frames, believed = [cue.frame for cue in cues], [cue.points for cue in cues]
    outside = sums.outside(frames)
    straight = [
        STRAIGHT_BACK if 2 * (now - before) * RATE_HZ > SUNG_OUTSIDE * PAUSED_FRAMES else 0
        for now, before in zip(outside, sums.outside([frame - PAUSED_FRAMES for frame in frames]), strict=True)
    ]
    sung = {pitch: sums.note(pitch, frames) for pitch in {item.pitch_c100 for item in items}}
    skipped = [0, *itertools.accumulate(_left_out(item) for item in items)]
    # best[c][k]: the cheapest way that has just come to item k at cue c, and the cue and item that it came from
    best: list[Row] = [{} for _ in cues]
    for c, frame in enumerate(frames):
        here = best[c]
        _offer(here, 0, outside[c], None)
        for k in bar_starts[1:]:
            _offer(here, k, outside[c] + BEGUN_LATER + skipped[k], None)
        _leave_out(here, c, items)
        _go_back(here, c, bar_starts, WENT_BACK + straight[c])
        limit = min(points for points, _ in here.values()) + GIVEN_UP
        for k in [k for k, (points, _) in here.items() if points <= limit and k < count]:
            item, points, costs = items[k], here[k][0], sung[items[k].pitch_c100]
            expected, after, came, so_far = item.expected_frames, k + 1, (c, k), costs[c]
            longest = frame + LONGEST * expected + LONGEST_WAIT_FRAMES
            # the innermost of three loops: nearly all of the time of a take in the singer's own time goes by here
            for d in range(c + 1, bisect_right(frames, longest)):
                wrong = costs[d] - so_far
                cost = points + (wrong if wrong < WRONG_MOST else WRONG_MOST) + believed[d]
                row = best[d]
                there = row.get(after)
                if there is None or cost < there[0]:
                    cost += length(frames[d] - frame, expected)
                    if there is None or cost < there[0]:
                        row[after] = cost, came
    found = (FAR, -1, -1)
    for c in range(len(cues)):
        for k, (points, _) in best[c].items():
            missing = skipped[count] - skipped[k] + (0 if k == count else ENDED_BEFORE)
            found = min(found, (points + outside[-1] - outside[c] + missing, c, k))
    return found[0], _way(best, cues, found[1], found[2])


def _offer(row: Row, k: int, points: int, came: tuple[int, int] | None) -> None:
    if k not in row or points < row[k][0]:
        row[k] = points, came


def _left_out(item: Item) -> int:
    return SKIPPED if item.pitch_c100 is not None else SKIPPED // 10


def _leave_out(row: Row, c: int, items: Sequence[Item]) -> None:
    """From every item to the next at the same moment; a rest is left out for nothing."""
    for k in range(len(items)):
        if k in row:
            _offer(row, k + 1, row[k][0] + _left_out(items[k]), (c, k))


def _go_back(row: Row, c: int, bar_starts: Sequence[int], cost: int) -> None:
    """From every item to the beginnings of the bars before it."""
    for k in sorted(row):
        points = row[k][0]
        for start in [b for b in bar_starts if b < k][-BARS_BACK:]:
            _offer(row, start, points + cost, (c, k))


def _way(best: list[Row], cues: Sequence[Cue], c: int, k: int) -> list[Passed]:
    passed: list[Passed] = []
    while True:
        came = best[c][k][1]
        if came is None:
            return passed[::-1]
        b, j = came
        if b < c:
            passed.append(Passed(j, cues[b].frame, cues[c].frame))
        c, k = b, j
