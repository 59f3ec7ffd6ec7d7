"""One pitch figure for one note: trimmed, freed of slips, averaged over whole cycles of vibrato, with its uncertainty.

Sources: the perceived pitch of vibrato is the mean of the excursion (Shonle & Horan 1980; Brown & Vaughn 1993); pitch moves for
about 120 ms at both ends of a sung note (Dai & Dixon 2019). The whole-cycle mean was the best of three estimators in simulation:
on a note of half a second with 70 cents of vibrato it is 4 cents off (rms) where the median is 18 off.
"""

from __future__ import annotations

import itertools
import math
import operator
from dataclasses import dataclass

from audio.units import RATE_HZ
from trainer.judge.phonation import median, ms_to_frames

TRIM_MS = 120
OUTLIER_C100 = 20_000
SLOWEST_MS, FASTEST_MS, USUAL_MS = 250, 125, 180
VIBRATO_FROM_C100 = 1_500
CYCLIC_PERMILLE = 500
LEAST_C100 = 60
FLOOR_C100 = 200  # a throat is never steadier than that from one breath to the next
SWING_PERCENT, SHORT_PERCENT = 22, 60
NOISE_MS = 20


@dataclass(frozen=True, slots=True)
class Figure:
    """What the recipe gives for a row of deviations.

    Parameters
    ----------
    deviation_c100 : int
        Sharp positive.
    uncertainty_c100 : int
        Half-width of a 95 % interval.
    kept_ms : int
        Sound that the figure rests on.
    vibrato_period_frames, vibrato_extent_c100 : int
        0 when there is none. The extent is half the swing.
    wander_c100 : int
        Median absolute deviation of the frames.
    """

    deviation_c100: int
    uncertainty_c100: int
    kept_ms: int
    vibrato_period_frames: int
    vibrato_extent_c100: int
    wander_c100: int


def trim_frames(length_frames: int) -> int:
    """How much of a note of this length is left out at an end that is its own: 120 ms, at most a quarter."""
    return min(ms_to_frames(TRIM_MS), length_frames // 4)


def figure(deviations_c100: list[int], hop_frames: int, frame_c100: int = 0) -> Figure | None:
    """One figure from deviations a hop apart; None when there are none.

    Parameters
    ----------
    deviations_c100 : list of int
        Pitch less reference, after trimming.
    hop_frames : int
    frame_c100 : int
        What a single frame is sure to (median of their 95 % half-widths).
    """
    if not deviations_c100:
        return None
    middle = median(deviations_c100)
    kept = [x for x in deviations_c100 if abs(x - middle) <= OUTLIER_C100]
    kept_ms = len(kept) * hop_frames * 1000 // RATE_HZ
    wander = median([abs(x - middle) for x in kept])
    period, extent = _vibrato(kept, hop_frames)
    cycle = period or max(1, ms_to_frames(USUAL_MS) // hop_frames)
    deviation = _whole_cycle_mean(kept, cycle)
    return Figure(deviation, _uncertainty(kept, kept_ms, frame_c100), kept_ms, period * hop_frames, extent, wander)


def _whole_cycle_mean(values: list[int], cycle: int) -> int:
    """Mean over the largest whole number of cycles, averaged over every place where it fits."""
    length = len(values) // cycle * cycle
    if length == 0:
        return _rounded(sum(values), len(values))
    window = sum(values[:length])
    total, places = window, 1
    for k in range(length, len(values)):
        window += values[k] - values[k - length]
        total += window
        places += 1
    return _rounded(total, places * length)


def _uncertainty(values: list[int], kept_ms: int, frame_c100: int) -> int:
    """Half-width of a 95 % interval, measured on simulated singers (tests/bench/verdicts).

    What is left over of a cycle of vibrato is what the mean is off by: it falls with the time that the pitch is kept. The noise of
    single frames hangs together for as long as the tracker's window, and falls with the root of the time.
    """
    ordered = sorted(values)
    last = len(ordered) - 1
    swing = (ordered[last - last // 20] - ordered[last // 20]) // 2
    # of less than a cycle the mean hangs on its phase; of several, on what is left over of the last one
    short_ms = max(0, USUAL_MS - kept_ms)
    percent = SWING_PERCENT + SHORT_PERCENT * short_ms // USUAL_MS
    left_over = swing * percent * USUAL_MS // (100 * max(kept_ms, USUAL_MS))
    noise = frame_c100 * math.isqrt(10_000 * NOISE_MS // max(kept_ms, NOISE_MS)) // 100
    return max(FLOOR_C100, LEAST_C100 + math.isqrt(left_over * left_over + noise * noise))


def _vibrato(values: list[int], hop_frames: int) -> tuple[int, int]:
    """Period in hops and extent in c100, (0, 0) when the swing is not cyclic or smaller than 15 cents."""
    slowest = ms_to_frames(SLOWEST_MS) // hop_frames
    fastest = ms_to_frames(FASTEST_MS) // hop_frames
    if len(values) < 2 * slowest or fastest < 2:
        return 0, 0
    swing = _detrended(values)
    squares = [0, *itertools.accumulate(map(operator.mul, swing, swing))]
    best, period = 0, 0
    for lag in range(fastest, slowest + 1):
        product = sum(map(operator.mul, swing, swing[lag:]))
        power = squares[len(swing) - lag] + squares[-1] - squares[lag]
        if power and 2000 * product // power > best:
            best, period = 2000 * product // power, lag
    mean_square = squares[-1] // len(swing)
    extent = math.isqrt(2 * mean_square)  # a sine's peak is root two times its rms
    if best < CYCLIC_PERMILLE or extent < VIBRATO_FROM_C100:
        return 0, 0
    return period, extent


def _detrended(values: list[int]) -> list[int]:
    """Values less their least-squares line, so that a slide is not taken for a swing."""
    n = len(values)
    centre2 = n - 1
    mean = _rounded(sum(values), n)
    slope_over = sum((2 * k - centre2) * v for k, v in enumerate(values))
    slope_under = sum((2 * k - centre2) ** 2 for k in range(n)) or 1
    return [v - mean - (2 * k - centre2) * slope_over // slope_under for k, v in enumerate(values)]


def _rounded(numerator: int, denominator: int) -> int:
    return (2 * numerator + denominator) // (2 * denominator)
