"""Offset and drift of a take: told once, apart from the notes.

The slope is Theil and Sen's (median of all pairwise slopes) with Kendall's interval; drift counts when it comes to 15 cents or more
over the line and its 95 % interval leaves out zero. Singers drift by 11 cents in 50 s (median of 24; Mauch, Frieler & Dixon 2014),
so less than 15 says nothing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from trainer.judge.phonation import median

REPORTED_C100 = 1_500
FEWEST = 5
NEAR_C100 = 6_000
SCALE = 1 << 24
MOST = 120


@dataclass(frozen=True, slots=True)
class Trend:
    """Where the whole take lies and how it moves.

    Parameters
    ----------
    offset_c100 : int
        Middle of all notes.
    drift_c100 : int or None
        From the first note to the last, None when it cannot be told from none.
    from_frame : int
        Where the drift begins.
    start_c100 : int
        Where the line of the drift begins.
    first_frame, last_frame : int
    """

    offset_c100: int
    drift_c100: int | None
    from_frame: int
    start_c100: int
    first_frame: int
    last_frame: int

    def at(self, frame: int) -> int:
        """Offset and drift at *frame*."""
        if self.drift_c100 is None or self.last_frame <= self.from_frame:
            return self.offset_c100
        along = min(max(frame, self.from_frame), self.last_frame) - self.from_frame
        return self.start_c100 + self.drift_c100 * along // (self.last_frame - self.from_frame)


def trend(points: list[tuple[int, int]]) -> Trend | None:
    """Trend of (frame, deviation in c100) of the notes, in time order; None without notes.

    Notes more than 60 cents from the running middle of their neighbours are wrong notes and do not count.
    """
    near = _without_wrong(points)
    if not near:
        return None
    if len(near) > MOST:  # a long piece is sampled evenly: all pairs of 120 notes are enough for a slope
        near = [near[k * len(near) // MOST] for k in range(MOST)]
    offset = median([y for _, y in near])
    first, last = near[0][0], near[-1][0]
    none = Trend(offset, None, first, offset, first, last)
    if len(near) < FEWEST:
        return none
    slopes = sorted(
        (yb - ya) * SCALE // (tb - ta) for i, (ta, ya) in enumerate(near) for tb, yb in near[i + 1 :] if tb > ta
    )
    slope = median(slopes)
    n = len(near)
    reach = round(1.96 * math.sqrt(n * (n - 1) * (2 * n + 5) / 18))
    low = slopes[max(0, (len(slopes) - reach) // 2)]
    high = slopes[min(len(slopes) - 1, (len(slopes) + reach) // 2)]
    drift = slope * (last - first) // SCALE
    if abs(drift) < REPORTED_C100 or low <= 0 <= high:
        return none
    return _hinged(near, first, last, offset)


def _without_wrong(points: list[tuple[int, int]]) -> list[tuple[int, int]]:
    near = []
    for k, (frame, y) in enumerate(points):
        around = [v for _, v in points[max(0, k - 3) : k + 4]]
        if abs(y - median(around)) <= NEAR_C100:
            near.append((frame, y))
    return near


def _hinged(near: list[tuple[int, int]], first: int, last: int, offset: int) -> Trend:
    """The drift as level up to a note and a straight line from it: the note at which that fits best."""
    candidates = []
    for k in range(len(near) - 2):
        level = median([y for _, y in near[: k + 1]])
        start = near[k][0]
        slopes = [(y - level) * SCALE // (t - start) for t, y in near[k + 1 :]]
        drift = median(slopes) * (last - start) // SCALE
        candidates.append(Trend(offset, drift, start, level, first, last))
    return min(candidates, key=lambda candidate: sum(abs(y - candidate.at(t)) for t, y in near))
