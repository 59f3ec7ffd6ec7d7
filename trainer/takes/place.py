"""Where in a recording our own sound lies: the whitened correlations of many short stretches, laid over each other.

A chord fits itself at every period of its root, so where one is held, as before the first note, any place seems to be the echo's. Which
of them it is, the other stretches say. Near the moment that somebody gave the echo is looked for first; a moment read off a clock is
wrong by seconds, so where it is not there it is looked for a minute to each side, and more is asked before it is believed.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from audio.canceller.learn import LEAST_DRIFT_PPM, NEAR_PEAK, heights, heights_all_along
from audio.units import RATE_HZ

STRETCH_SECONDS, EDGE_SECONDS = 3, 0.1
STRETCH_FRAMES = STRETCH_SECONDS * RATE_HZ
FEWEST_SLOPES, STRAIGHT_FRAMES = 6, 2.0
SAME_FRAMES = 48
"""2 ms: what two clocks drift apart in 20 s; a room's first echoes lie farther off."""

TOGETHER, FOR_FEW = 4.0, 8.0
"""*n* stretches show an echo where their mean reaches the first and an nth of the second; a singer alone never did (DEVELOPERS.md)."""

FAR_OFF = 4.4
"""The same as the first where a hundred times as many places are tried: singers alone reached 3.0, a loudspeaker in a ringing room 4.8."""

FEWEST_STRETCHES = 6

Floats = NDArray[np.float64]
Places = list[tuple[int, int]]
"""Beginning and delay of each stretch in which the echo is found, in frames at ``RATE_HZ``."""


def places_near(played: Floats, heard: Floats, longest_frames: int) -> Places:
    """Where the echo is found in short stretches, 0 to *longest_frames* late; in short ones, since two clocks smear a long one."""
    rows = []
    for begin in _beginnings(played):
        stretch = softly_cut(played[begin : begin + STRETCH_FRAMES])
        row = heights(stretch, heard[begin : begin + STRETCH_FRAMES + longest_frames], longest_frames)
        if row is not None:
            rows.append((begin, row))
    return together(rows)


def together(rows: list[tuple[int, Floats]]) -> Places:
    """The places at the delay that fits all stretches best; none where that fits no better than a singer alone may.

    Parameters
    ----------
    rows : list of (int, float64 array)
        Beginning of a stretch, and its ``heights``, all of one length.
    """
    if not rows:
        return []
    mean = np.mean([highest_near(row) for _, row in rows], axis=0)
    at = int(mean.argmax())
    if mean[at] < TOGETHER + FOR_FEW / len(rows):
        return []
    first = max(at - SAME_FRAMES, 0)
    found = []
    for begin, row in rows:
        near = row[first : at + SAME_FRAMES + 1]
        if near.max() >= NEAR_PEAK:
            found.append((begin, first + int(near.argmax())))
    return found or [(rows[0][0], at)]


def place_anywhere(played: Floats, heard: Floats, begins: int, ends: int) -> int | None:
    """Frame of *heard* at which the beginning of *played* is heard; None where no place fits better than a singer alone may.

    Parameters
    ----------
    played, heard : float64 arrays
        At ``RATE_HZ``.
    begins, ends : int
        Between these frames there is a recording; before and after is nothing to look for.
    """
    if ends - begins < STRETCH_FRAMES:
        return None
    firsts = [at for at in _beginnings(played) if played[at : at + STRETCH_FRAMES].any()]
    stretches = (softly_cut(played[at : at + STRETCH_FRAMES]) for at in firsts)
    rows = heights_all_along(stretches, heard[begins:ends])
    sums, counts = np.zeros(len(heard)), np.zeros(len(heard), dtype=np.int64)
    for at, row in zip(firsts, rows, strict=True):
        low, high = max(begins - at, 0), max(ends - STRETCH_FRAMES - at, 0)  # of where it all began
        sums[low:high] += highest_near(row)[low + at - begins : high + at - begins]
        counts[low:high] += 1
    enough = counts >= FEWEST_STRETCHES
    over = np.where(enough, (sums - FOR_FEW) / np.maximum(counts, 1), 0.0)
    best = int(over.argmax())
    return best if over[best] >= FAR_OFF else None


def _beginnings(played: Floats) -> range:
    return range(0, max(len(played) - STRETCH_FRAMES, 0) + 1, STRETCH_FRAMES // 2)


def softly_cut(sound: Floats) -> Floats:
    """The sound swelling from nothing and fading: a hard cut is a click in both sounds, which looks like an echo without delay."""
    edge = np.sin(np.linspace(0.0, np.pi / 2, round(EDGE_SECONDS * RATE_HZ))) ** 2
    count = min(len(edge), len(sound) // 2)
    out = sound.copy()
    out[:count] *= edge[:count]
    out[len(out) - count :] *= edge[:count][::-1]
    return out


def highest_near(row: Floats) -> Floats:
    """The highest within SAME_FRAMES / 2 to each side of each place, shape as given."""
    width, high = 1, np.pad(row, SAME_FRAMES // 2)
    while 2 * width <= SAME_FRAMES + 1:
        high = np.maximum(high[:-width], high[width:])
        width *= 2
    rest = SAME_FRAMES + 1 - width
    return np.asarray(np.maximum(high[: len(high) - rest], high[rest:]))


def clocks_apart(places: Places) -> float:
    """Frames a frame by which the echo comes later and later; 0 where its places lie on no line, as the echoes of a room."""
    slopes = [(d2 - d1) / (b2 - b1) for k, (b1, d1) in enumerate(places) for b2, d2 in places[k + 2 :]]
    slope = float(np.median(slopes)) if len(slopes) >= FEWEST_SLOPES else 0.0
    from_line = np.array([found - slope * begin for begin, found in places])
    straight = np.median(np.abs(from_line - np.median(from_line))) <= STRAIGHT_FRAMES
    return slope if straight and abs(slope) * 1e6 >= LEAST_DRIFT_PPM else 0.0
