"""Twin of ``_salience._strengths``: noise, tail, levelling and the product with the combs, hop after hop."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from audio.pitch._floor import (
    DOWN,
    HALF_BINS,
    HOPS_A_STEP,
    HOPS_TO_BEGIN,
    LEAST_OF_FRAME,
    QUICK_DOWN,
    QUICK_STEPS,
    QUICK_UP,
    ROOT_OF_NOISE,
    TONE,
    UP,
)
from audio.pitch._salience import (
    BINS,
    DROWNED,
    KNEE,
    KNOWN_SCALE,
    LARGEST_LEVELLED,
    LOUD_BINS,
    SLOPE,
    TAIL_SAYS,
    UNIT,
    UNSUNG_BINS,
)
from audio.pitch._tail import (
    BACK_HOPS,
    FAR_OUT,
    FELL,
    GONE,
    LEAST,
    LEAST_BINS,
    LEAST_FALLEN,
    MOST,
    QUANTILE,
    STEP,
    grown,
    taken,
)
from audio.pitch._tail import HOPS_A_STEP as HOPS_A_LOOK

SIGNATURE = (
    "void(float64[:,::1], boolean[::1], int64, float32[:,::1], int8[:,::1], float64[::1], float64[::1],"
    " float64[::1], int64[::1], float64[:,::1], boolean[:,::1], float64[::1], int64[::1], float64[:,::1], float64[:,::1],"
    " float64[::1])"
)
LOUD = KNEE * SLOPE
LEVEL_AT_KNEE = math.sqrt(math.sqrt(1.0 + KNEE))


def strengths(
    bins: Any,
    sounds: Any,
    first_hop: int,
    combs: Any,
    teeth: Any,
    scale: Any,
    spread: Any,
    level: Any,
    counts: Any,
    past: Any,
    far: Any,
    keeps: Any,
    at: Any,
    known: Any,
    out: Any,
    kept: Any,
) -> None:
    """See the twin."""
    power = np.empty(BINS)
    now = np.empty(BINS)
    floor = np.empty(BINS)
    wet = np.empty(BINS)
    dry_says = np.empty(BINS)
    sums = np.empty(BINS + 2 * max(HALF_BINS, LOUD_BINS))
    whole = np.empty(BINS, dtype=np.int32)
    total = np.empty(len(scale), dtype=np.int32)
    for hop in range(len(bins)):
        for k in range(BINS):
            real, imag = bins[hop, 2 * k], bins[hop, 2 * k + 1]
            power[k] = real * real + imag * imag + 1e-12
        _noise_now(power, sums, now)
        _level_on(power, now, sounds[hop], first_hop + hop, level, counts)
        _floor_under(power, now, level, spread, floor)
        if len(known):
            for k in range(BINS):
                floor[k] = max(floor[k], KNOWN_SCALE * known[hop, k])
        _tail_under(power, floor, first_hop + hop, past, far, keeps, at, wet)
        kept[hop] = keeps[0]
        for k in range(BINS):
            now[k] = power[k] if k >= UNSUNG_BINS else 0.0
        _mean_around(now, LOUD_BINS, sums, now)
        for k in range(BINS):
            floor[k] = max(floor[k], DROWNED * now[k])
        higher = 0
        for k in range(BINS):
            higher += wet[k] > floor[k]
            wet[k] = max(floor[k], wet[k])
        _levelled(power, floor, dry_says)
        if higher:
            _levelled(power, wet, wet)
        for k in range(BINS):
            further = TAIL_SAYS * (wet[k] - dry_says[k]) if higher else 0.0
            whole[k] = np.rint(dry_says[k] + further)
        _product(whole, teeth, total)
        for state in range(len(scale)):
            out[hop, state] = total[state] * scale[state]


def _noise_now(power: Any, sums: Any, now: Any) -> None:
    for k in range(BINS):
        now[k] = math.sqrt(math.sqrt(power[k]))
    _mean_around(now, HALF_BINS, sums, now)
    for k in range(BINS):
        root = now[k] * now[k]
        now[k] = root * root / ROOT_OF_NOISE


def _mean_around(values: Any, half: int, sums: Any, out: Any) -> None:
    """One row of ``_floor.mean_around``; *out* may be *values*."""
    width = 2 * half + 1
    running = 0.0
    for k in range(half):
        running += values[half - k]
        sums[k] = running
    for k in range(BINS):
        running += values[k]
        sums[half + k] = running
    for k in range(half):
        running += values[BINS - 2 - k]
        sums[half + BINS + k] = running
    out[0] = max(sums[width - 1], 0.0) / width
    for k in range(1, BINS):
        out[k] = max(sums[width - 1 + k] - sums[k - 1], 0.0) / width


def _level_on(power: Any, now: Any, heard: bool, hop: int, level: Any, counts: Any) -> None:
    if counts[0] < HOPS_TO_BEGIN:
        share = 1.0
        for k in range(BINS):
            if power[k] / now[k] > TONE:
                share = LEAST_OF_FRAME
                break
        if counts[0] == 0:
            for k in range(BINS):
                level[k] = now[k] * share
        else:
            for k in range(BINS):
                level[k] += (now[k] * share - level[k]) / (counts[0] + 1)
        if heard or counts[0] > 0:
            counts[0] += 1
    elif hop % HOPS_A_STEP == 0:
        down, up = (QUICK_DOWN, QUICK_UP) if counts[1] < QUICK_STEPS else (DOWN, UP)
        counts[1] += 1
        for k in range(BINS):
            level[k] = level[k] * up if now[k] > level[k] else max(level[k] * down, now[k])


def _floor_under(power: Any, now: Any, level: Any, spread: Any, floor: Any) -> None:
    strongest = 0
    for k in range(1, BINS):
        if power[k] > power[strongest]:
            strongest = k
    top = power[strongest]
    for k in range(BINS):
        floor[k] = max(max(level[k], LEAST_OF_FRAME * now[k]), spread[BINS - 1 - strongest + k] * top)


def _tail_under(power: Any, floor: Any, hop: int, past: Any, far: Any, keeps: Any, at: Any, wet: Any) -> None:
    row = at[0]
    if hop % HOPS_A_LOOK == 0:
        outstanding = 0
        count = 0
        lost = 0
        for k in range(BINS):
            if far[row, k]:
                outstanding += 1
                if power[k] < FELL * past[row, k]:
                    count += 1
                    lost += power[k] < max(keeps[0] * past[row, k], GONE * floor[k])
        if count >= LEAST_BINS and count >= LEAST_FALLEN * outstanding:
            keeps[0] = min(max(keeps[0] * grown(STEP * (QUANTILE - lost / count)), LEAST), MOST)
    share = taken(keeps[0])
    for k in range(BINS):
        wet[k] = past[row, k] * share
        past[row, k] = power[k]
        far[row, k] = power[k] > FAR_OUT * floor[k]
    at[0] = (row + 1) % BACK_HOPS


def _levelled(power: Any, floor: Any, out: Any) -> None:
    for k in range(BINS):
        over = power[k] / floor[k]
        loud = LOUD + math.sqrt(math.sqrt(1.0 + max(over, KNEE))) - LEVEL_AT_KNEE
        out[k] = min(UNIT * (SLOPE * over if over < KNEE else loud), LARGEST_LEVELLED)


def _product(whole: Any, teeth: Any, total: Any) -> None:
    """Four bins at a time: what is added up is read and written a quarter as often."""
    for state in range(len(total)):
        total[state] = 0
    for k in range(0, BINS, 4):
        a, b, c, d = whole[k], whole[k + 1], whole[k + 2], whole[k + 3]
        of_a, of_b, of_c, of_d = teeth[k], teeth[k + 1], teeth[k + 2], teeth[k + 3]
        for state in range(len(total)):
            total[state] += a * of_a[state] + b * of_b[state] + c * of_c[state] + d * of_d[state]


HELPERS = (grown, taken, _mean_around, _noise_now, _level_on, _floor_under, _tail_under, _levelled, _product)
