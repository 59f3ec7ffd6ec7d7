"""A voice that has just begun.

About its first sample half of a hop's window is what was there before, so its harmonics explain little of the hop. But what comes after
the hop's centre repeats itself a period later and grows, which no noise does: the two are compared by their normalized
correlation, which does not mind that one of them is the louder. Half a period later they must be less alike, as a rumble's are not.

Source: normalized cross-correlation of a sound and itself a lag later, Talkin (1995), "A robust algorithm for pitch tracking (RAPT)",
equation 2, from memory. The limits were set on the development seeds of ``tests/bench/pitch``.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from audio.pitch._salience import WINDOW_FRAMES

Floats = NDArray[np.float64]

AHEAD_FRAMES = WINDOW_FRAMES // 2  # 28 ms: what a hop waits for
EARLY_FRAMES = 240  # 10 ms
LEAST = 1e-20  # of power times power, so that silence is like nothing
LEAST_STRENGTH = 5.0  # of ``_salience``: noise has 0 +- 0.5
RISE = 4.0  # of the mean square, over what was there before: 6 dB
SWELLS = 0.5  # or, behind a consonant as loud: in the first 10 ms of the mean square that follows, at most
BEGUN = 0.025  # of the same, at least: the voice begins 5 ms later at most
ALIKE = 0.95  # to the sound a period later, at least
HALF_ALIKE = 0.9  # and half a period later, at most: else it is a slower sound, or a faster one


def rises(sound: Floats, at: int, period: float) -> bool:
    """Whether a voice of so many frames a period begins next to the index *at*, which is AHEAD_FRAMES from the sound's ends at least."""
    ahead, behind = sound[at : at + AHEAD_FRAMES], sound[at - AHEAD_FRAMES : at]
    first = np.add.reduce(ahead[:EARLY_FRAMES] ** 2)
    rest = np.add.reduce(ahead[EARLY_FRAMES:] ** 2)
    louder = first + rest > RISE * np.add.reduce(behind**2)
    share = first * (AHEAD_FRAMES - EARLY_FRAMES) / (EARLY_FRAMES * rest + LEAST)
    if share < BEGUN or not (louder or share <= SWELLS):
        return False
    return _likeness(ahead, period) >= ALIKE and _likeness(ahead, 0.5 * period) <= HALF_ALIKE


def _likeness(ahead: Floats, lag: float) -> float:
    """Normalized correlation of the sound and itself so many frames later."""
    whole = int(lag)
    count = AHEAD_FRAMES - whole - 1
    here, later = ahead[:count], ahead[whole : whole + count]
    there = later + (lag - whole) * (ahead[whole + 1 :] - later)
    return float(np.add.reduce(here * there) / np.sqrt(np.add.reduce(here**2) * np.add.reduce(there**2) + LEAST))
