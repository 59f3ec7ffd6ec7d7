"""Does somebody else sing too? A second pitch beside the one that is followed, held for a while; nobody is told apart.

In short windows the peaks of the spectrum that the followed pitch's harmonics leave over are looked at: two or more of them that are
harmonics of one other pitch speak for a second voice. Single windows say so now and then of one singer too, so both pitches must stay where
they are over most of a third of a second. Two things would still pass for a voice and are left out: a wide vibrato in a room, whose swings
stand beside each other (so the pitches must lie apart), and the tail of the note before in a room (which falls, and stands where the
singer has just been).

Two on one pitch, or an octave apart, have the same harmonics; they are not found. How often it is right and wrong is measured by
``tests/bench/crowd/two_at_once.py``.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from audio.block import Samples
from audio.heard import PitchFrame
from audio.units import RATE_HZ, c100_to_hz, hz_to_c100

Real = NDArray[np.floating[Any]]

WINDOW_FRAMES, HOP_FRAMES = 4096, 960
LOWEST_HZ, HIGHEST_HZ, HIGHEST_PITCH_HZ = 75.0, 2500.0, 1000.0
PEAK_DB = -30.0
"""Under the strongest peak: lower ones are not looked at."""

OWN_CENTS, OWN_HZ = 75.0, 8.0
"""So near to a harmonic of the followed pitch a peak is its own, vibrato and the window's width included."""

COMB_CENTS, COMB_HZ = 25.0, 3.0
HARMONICS, LEAST_PEAKS, STRONGEST_TRIED, FIRST_HARMONICS = 6, 2, 4, 3
MISSING_COST, LEAST_WEIGHT = 0.08, 0.15
"""Amplitudes against the strongest peak: each harmonic that should be there and is not costs, and the rest must weigh so much."""

STEADY_C100, MISSED_HOPS, LEAST_HOPS, LEAST_SHARE = 4_500, 2, 8, 0.6
APART_C100 = 18_000
FALLS_DB_A_SECOND, TAIL_DB_A_SECOND = -12.0, -5.0
TAIL_FRAMES, WAS_C100, WAS_FRAMES = 5 * RATE_HZ // 2, 7_000, RATE_HZ // 16
"""A second pitch that falls faster is a tail; where the singer has been on it for so long within the last seconds, already from the
slower fall on. A room of 2.5 s falls by 24 dB a second."""


@dataclass(frozen=True, slots=True)
class SecondVoice:
    """Two pitches at once from ``from_frame`` up to ``to_frame``: the one that is followed, and the other."""

    from_frame: int
    to_frame: int
    own_c100: int
    other_c100: int


@dataclass(frozen=True, slots=True)
class _Hop:
    frame: int
    own_c100: int
    other_c100: int
    level_db: float

    def goes_on(self, before: _Hop) -> bool:
        """Whether these are the two pitches of the hop before, whichever of them is followed now."""
        return all(
            min(abs(one - other) for other in (before.own_c100, before.other_c100)) < STEADY_C100
            for one in (self.own_c100, self.other_c100)
        )


def second_voices(pieces: Iterable[Samples], frames: Sequence[PitchFrame]) -> list[SecondVoice]:
    """Every stretch with a second voice in a sound whose pitch was followed as *frames*; *pieces* of shape (n,) at ``RATE_HZ``."""
    window = np.hanning(WINDOW_FRAMES)
    centres = [frame.centre_frame for frame in frames]
    runs: list[list[_Hop]] = [[]]
    for at, stretch in _windows(pieces):
        frame = _nearest(frames, centres, at)
        if frame is None or not frame.voiced:
            continue
        hop = _hop(stretch * window, at, frame.f0_c100)
        if hop is None:
            continue
        run = runs[-1]
        if run and not (hop.goes_on(run[-1]) and hop.frame - run[-1].frame <= (MISSED_HOPS + 1) * HOP_FRAMES):
            runs.append([])
        runs[-1].append(hop)
    return [
        SecondVoice(run[0].frame, run[-1].frame, _middle(run, "own_c100"), _middle(run, "other_c100"))
        for run in runs
        if _is_a_voice(run, frames, centres)
    ]


def _windows(pieces: Iterable[Samples]) -> Iterator[tuple[int, Samples]]:
    """The middle of each window and what is in it; of the sound no more than a window and a piece is held."""
    held, at = np.zeros(0, dtype=np.float32), WINDOW_FRAMES // 2
    for piece in pieces:
        held = np.concatenate([held, piece])
        start = 0
        while start + WINDOW_FRAMES < len(held):
            yield at, held[start : start + WINDOW_FRAMES]
            start, at = start + HOP_FRAMES, at + HOP_FRAMES
        held = held[start:].copy()  # a view would hold the piece before


def _nearest(frames: Sequence[PitchFrame], centres: list[int], at: int) -> PitchFrame | None:
    after = bisect_left(centres, at)
    near = [frames[k] for k in (after - 1, after) if 0 <= k < len(frames)]
    return min(near, key=lambda frame: abs(frame.centre_frame - at), default=None)


def _hop(windowed: Real, at: int, own_c100: int) -> _Hop | None:
    hz, level_db = _peaks(windowed)
    if not len(hz):
        return None
    own_hz = c100_to_hz(own_c100)
    left = ~_covered(hz, own_hz)
    top_db = float(level_db.max())
    found = _comb(hz[left], 10 ** ((level_db[left] - top_db) / 20), own_hz)
    if found is None:
        return None
    other_hz, amplitude = found
    return _Hop(at, own_c100, hz_to_c100(other_hz), top_db + 20 * float(np.log10(amplitude)))


def _peaks(windowed: Real) -> tuple[Real, Real]:
    """Frequencies and levels of the peaks worth looking at; between bins by a parabola."""
    level_db = 20 * np.log10(np.abs(np.fft.rfft(windowed, 2 * WINDOW_FRAMES)) + 1e-9)
    bin_hz = RATE_HZ / (2 * WINDOW_FRAMES)
    first = int(LOWEST_HZ / bin_hz)
    part = level_db[first - 1 : int(HIGHEST_HZ / bin_hz) + 1]
    at = np.flatnonzero((part[1:-1] > part[:-2]) & (part[1:-1] >= part[2:])) + first
    if not len(at):
        return np.zeros(0), np.zeros(0)
    at = at[level_db[at] > level_db[at].max() + PEAK_DB]
    below, here, above = level_db[at - 1], level_db[at], level_db[at + 1]
    return (at + 0.5 * (below - above) / (below - 2 * here + above)) * bin_hz, here


def _covered(hz: Real, own_hz: float) -> NDArray[np.bool_]:
    """Which frequencies the followed pitch's harmonics explain."""
    harmonic = np.maximum(1, np.round(hz / own_hz)) * own_hz
    return np.asarray(np.abs(hz - harmonic) <= np.maximum(harmonic * (2 ** (OWN_CENTS / 1200) - 1), OWN_HZ))


def _comb(hz: Real, amplitude: Real, own_hz: float) -> tuple[float, float] | None:
    """The pitch of which most of these peaks are harmonics, and their amplitude together; None where no pitch is clear."""
    best, best_weight = None, LEAST_WEIGHT
    for peak in hz[np.argsort(-amplitude)[:STRONGEST_TRIED]]:
        for first in range(1, FIRST_HARMONICS + 1):
            pitch = float(peak) / first
            if not LOWEST_HZ <= pitch <= HIGHEST_PITCH_HZ:
                continue
            number = np.maximum(1, np.round(hz / pitch))
            wide = np.maximum(number * pitch * (2 ** (COMB_CENTS / 1200) - 1), COMB_HZ)
            fits = (np.abs(hz - number * pitch) < wide) & (number <= HARMONICS)
            there = set(number[fits].astype(int).tolist())
            if len(there) < LEAST_PEAKS:
                continue
            expected = np.array([k for k in range(1, max(there)) if k not in there], dtype=float) * pitch
            missing = int(np.count_nonzero(~_covered(expected, own_hz)))
            together = float(amplitude[fits].sum())
            if together - MISSING_COST * missing >= best_weight:
                best, best_weight = (pitch, together), together - MISSING_COST * missing
    return best


def _is_a_voice(run: list[_Hop], frames: Sequence[PitchFrame], centres: list[int]) -> bool:
    if len(run) < LEAST_HOPS:
        return False
    times = np.array([hop.frame for hop in run]) / RATE_HZ
    if len(run) * HOP_FRAMES < LEAST_SHARE * (run[-1].frame - run[0].frame + HOP_FRAMES):
        return False
    own, other = _middle(run, "own_c100"), _middle(run, "other_c100")
    if abs(own - other) < APART_C100:
        return False
    before = frames[bisect_left(centres, run[0].frame - TAIL_FRAMES) : bisect_left(centres, run[0].frame)]
    on_it = [frame for frame in before if frame.voiced and abs(frame.f0_c100 - other) < WAS_C100]
    hop_frames = (before[-1].centre_frame - before[0].centre_frame) / (len(before) - 1) if len(before) > 1 else 0.0
    falls = float(np.polyfit(times, [hop.level_db for hop in run], 1)[0])
    return falls >= (TAIL_DB_A_SECOND if len(on_it) * hop_frames > WAS_FRAMES else FALLS_DB_A_SECOND)


def _middle(run: list[_Hop], name: str) -> int:
    return round(float(np.median([getattr(hop, name) for hop in run])))
