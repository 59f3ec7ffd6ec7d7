"""Twin of ``_voicing._voiced``, with the impostors."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from audio.pitch._impostors import SILENCE_DB10, Dying, Hum
from audio.pitch._refine import HALF_FRAMES
from audio.pitch._rising import LEAST_STRENGTH
from audio.pitch._voicing import (
    FAINT_CONFIDENCE,
    FAINT_OWN,
    FAINT_SHARE,
    FAINT_STRENGTH,
    HOPS_TOGETHER,
    JITTER_CENTS,
    LEAST_POWER,
    MOST_TOGETHER,
    QUIETEST_DB10,
    SURE_CONFIDENCE,
    SURE_STRENGTH,
)
from audio.pitch.compiled.rising import RISES, rises
from audio.units import RATE_HZ

SIGNATURE = (
    "void(int64[::1], float64[::1], float64[::1], float64[::1], float64[::1], float64[::1], float64[::1], float64[::1],"
    " float64[::1], int64[:,::1], int64, int64, float64[:,::1], int64[::1], int64[:,::1], int64[::1], float64[::1], int64, int64[:,::1])"
)
JITTER = JITTER_CENTS**2
MULTIPLES_C100 = Hum.MULTIPLES_C100
LOUDEST_DB10, NEAR_C100, STEADY_C100, STEADY_DB10 = (
    Hum.LOUDEST_DB10,
    Hum.NEAR_C100,
    Hum.STEADY_C100,
    Hum.STEADY_DB10,
)
HOPS, LEAST_STEP_DB10, LEAST_DB10, LARGEST_SHARE = (
    Dying.HOPS,
    Dying.LEAST_STEP_DB10,
    Dying.LEAST_DB10,
    Dying.LARGEST_SHARE,
)
DRIFT_C100, RISE_DB10, HELD_DB10, OTHER_NOTE_C100 = (
    Dying.DRIFT_C100,
    Dying.RISE_DB10,
    Dying.HELD_DB10,
    Dying.OTHER_NOTE_C100,
)


def voiced(
    centres: Any,
    cents: Any,
    f0_hz: Any,
    sigma_cents: Any,
    power: Any,
    residual: Any,
    power_log: Any,
    residual_log: Any,
    strength: Any,
    bad: Any,
    lowest: int,
    highest: int,
    before: Any,
    hum: Any,
    dying_past: Any,
    dying: Any,
    sound: Any,
    sound_from: int,
    out: Any,
) -> None:
    """See the twin."""
    for hop in range(len(centres)):
        level = max(int(np.rint(100.0 * power_log[hop])), SILENCE_DB10)
        confidence = max(int(np.rint(1000.0 * (1.0 - residual[hop] / (power[hop] + LEAST_POWER)))), 0)
        if level <= SILENCE_DB10:
            confidence = 0
        pitch = int(np.rint(cents[hop] * 100.0))
        sung = _harmonic(before, confidence, strength[hop])
        if not sung and strength[hop] >= LEAST_STRENGTH:
            sung = rises(sound, centres[hop] - sound_from, RATE_HZ / f0_hz[hop])
        sung = sung and level >= QUIETEST_DB10 and lowest <= pitch and pitch <= highest
        for stretch in range(len(bad)):
            if centres[hop] + HALF_FRAMES >= bad[stretch, 0] and centres[hop] - HALF_FRAMES < bad[stretch, 1]:
                sung = False
        if _hum(hum, level, pitch, sung):
            sung = False
        if _dying(dying_past, dying, level, pitch, sung):
            sung = False
        width = np.ceil(1.96 * math.sqrt(sigma_cents[hop] * sigma_cents[hop] + JITTER))
        out[hop, 0] = centres[hop]
        out[hop, 1] = pitch
        out[hop, 2] = int(min(width, 1200.0))
        out[hop, 3] = sung
        out[hop, 4] = confidence
        out[hop, 5] = level
        out[hop, 6] = max(int(np.rint(100.0 * residual_log[hop])), SILENCE_DB10)


def _harmonic(before: Any, confidence: int, strength: float) -> bool:
    mean_confidence = before[0, 0] / HOPS_TOGETHER
    together = min(before[0, 0], MOST_TOGETHER) / HOPS_TOGETHER
    mean_strength = before[1, 0] / HOPS_TOGETHER
    for hop in range(1, HOPS_TOGETHER):
        own, strong = float(confidence), strength
        if hop < HOPS_TOGETHER - 1:
            own, strong = before[0, hop], before[1, hop]
        mean_confidence += own / HOPS_TOGETHER
        together += min(own, MOST_TOGETHER) / HOPS_TOGETHER
        mean_strength += strong / HOPS_TOGETHER
        before[0, hop - 1], before[1, hop - 1] = own, strong
    sure = confidence >= SURE_CONFIDENCE and strength >= SURE_STRENGTH
    faint = together >= FAINT_CONFIDENCE and mean_strength >= FAINT_STRENGTH
    return sure or (faint and confidence >= FAINT_OWN and confidence >= FAINT_SHARE * mean_confidence)


def _hum(now: Any, level: int, pitch: int, sung: bool) -> bool:
    steady = abs(level - now[2]) <= STEADY_DB10 and abs(pitch - now[3]) <= STEADY_C100
    if not sung:
        now[1] = 0
    else:
        mains = False
        for multiple in MULTIPLES_C100:
            if abs(pitch - multiple) <= NEAR_C100:
                mains = True
        if mains and level <= LOUDEST_DB10 and (steady or now[1] == 0):
            now[1] += 1
        else:
            now[1], now[0] = 0, 1
    now[2], now[3] = level, pitch
    return bool(now[1] > 0 and now[0] == 0)


def _dying(past: Any, now: Any, level: int, pitch: int, sung: bool) -> bool:
    last = 4 * HOPS
    if now[0] == 0:
        if sung and _begins(past, level, pitch):
            now[0], now[1], now[2] = 1, level, pitch
    else:
        now[1] = min(now[1], level)
        held = past[0, 0] - level < HELD_DB10
        again = level >= now[1] + RISE_DB10
        if held or again or abs(pitch - now[2]) > OTHER_NOTE_C100:
            now[0] = 0
    for hop in range(last - 1):
        past[hop, 0], past[hop, 1] = past[hop + 1, 0], past[hop + 1, 1]
    past[last - 1, 0], past[last - 1, 1] = level, pitch
    return bool(now[0] == 1)


def _begins(past: Any, level: int, pitch: int) -> bool:
    first, second, third = past[HOPS, 0], past[2 * HOPS, 0], past[3 * HOPS, 0]
    one, two, three = first - second, second - third, third - level
    together = one + two + three
    return bool(
        min(one, two, three) >= LEAST_STEP_DB10
        and together >= LEAST_DB10
        and max(one, two, three) <= LARGEST_SHARE * together
        and abs(pitch - past[HOPS, 1]) <= DRIFT_C100
    )


HELPERS = (*RISES, _harmonic, _hum, _begins, _dying)
