"""From a pitch line to stretches of steady singing, without looking at the score.

A *run* is unbroken sound: gaps shorter than 40 ms are bridged, voiced blips shorter than 30 ms are dropped.
A run is cut into *segments* where the mean pitch of the 180 ms before a point and of the 180 ms after it differ by more than
60 cents. 180 ms is one cycle of a usual vibrato (5.6 Hz, Timmers & Desain 2000; Cuesta et al. 2018 for choirs), so a vibrato of
100 cents either way does not cut, and a sung semitone does. The other figures were chosen on simulated singers and are our own.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace

from audio.units import RATE_HZ
from trainer.judge.pitchline import PitchLine

BRIDGED_MS = 40
BLIP_MS = 30
SOUNDS_ON_MS = 140
SOUNDS_ON_FROM = 800
SOUNDS_ON_DB10 = 100
CYCLE_MS = 180
SHORTEST_MS = 100
SPLIT_C100 = 6_000
EDGE_MS = 120
SPOKEN_MS = 800  # no syllable lasts longer
GLIDE_C100_A_SECOND = 20_000  # nine of ten sung stretches move by less than 9,000, of spoken ones by more than 20,000
SWINGS_MS, SWINGS_LEAST, SWINGS_PERCENT = 300, 3, 125
"""Vibrato is known from so many stretches as long as that, and varies so much from note to note (our own)."""

SLIP_C100 = 30_000
SLIP_WINDOW = 25


@dataclass(frozen=True, slots=True)
class Segment:
    """A stretch of one steady pitch.

    Parameters
    ----------
    first, end : int
        Indexes into the pitch line, ``end`` exclusive; slips and bridged frames inside are not in ``kept``.
    kept : tuple of int
        Indexes of the frames that count.
    level_c100 : int
        Median pitch.
    start_frame, end_frame : int
        Half a hop outside the first and last kept centre.
    after_gap, before_gap : bool
        Whether silence (40 ms or more) lies on that side; else another segment does.
    glides : bool
        Whether its pitch is on the move all through, as in speech: no sung note's is.
    swings : bool
        Whether it glides and yet no further than the singer's own vibrato.
    """

    first: int
    end: int
    kept: tuple[int, ...]
    level_c100: int
    start_frame: int
    end_frame: int
    after_gap: bool
    before_gap: bool
    glides: bool
    swings: bool = False

    @property
    def length_frames(self) -> int:
        """How long it lasts."""
        return self.end_frame - self.start_frame


def ms_to_frames(milliseconds: int) -> int:
    """Whole frames of a time in milliseconds."""
    return milliseconds * RATE_HZ // 1000


def median(values: list[int]) -> int:
    """Lower of the two middle values when there are two: always one of *values*."""
    return sorted(values)[(len(values) - 1) // 2]


def segments(line: PitchLine, from_frame: int, to_frame: int) -> list[Segment]:
    """Steady stretches among the frames centred in [from, to), in time order."""
    first, end = line.window(from_frame, to_frame)
    found: list[Segment] = []
    for run in _runs(line, first, end):
        pitches = _without_slips([line.pitches[k] for k in run])
        cuts = _cuts(pitches, line.hop_frames)
        edges = [0, *cuts, len(run)]
        for number, (a, b) in enumerate(itertools.pairwise(edges)):
            level = median(pitches[a:b])
            kept = tuple(k for k in run[a:b] if abs(line.pitches[k] - level) <= SLIP_C100)
            if not kept:
                continue
            half = line.hop_frames // 2
            found.append(
                Segment(
                    run[a],
                    run[b - 1] + 1,
                    kept,
                    level,
                    line.centres[run[a]] - half,
                    line.centres[run[b - 1]] + half,
                    number == 0,
                    number == len(edges) - 2,
                    _glides(line, kept),
                )
            )
    return _within_vibrato(line, found)


def _within_vibrato(line: PitchLine, found: list[Segment]) -> list[Segment]:
    """The same stretches, each that glides no further than the singer's own vibrato swings in longer notes marked so.

    Short notes, and pieces of a note that a room's beats break at every turn of the vibrato, hold no whole cycle to tell it by.
    """
    if not any(s.glides for s in found):
        return found
    swings = [_swing(line, s) for s in found if not s.glides and s.length_frames >= ms_to_frames(SWINGS_MS)]
    if len(swings) < SWINGS_LEAST:
        return found
    most = median(swings) * SWINGS_PERCENT // 100
    return [replace(s, swings=True) if s.glides and _swing(line, s) <= most else s for s in found]


def _swing(line: PitchLine, segment: Segment) -> int:
    """How far apart the highest and the lowest pitch lie, ends and a twentieth on either side left out."""
    ordered = sorted(_middle(line, segment.kept))
    rare = len(ordered) // 20
    return ordered[len(ordered) - 1 - rare] - ordered[rare]


def _middle(line: PitchLine, kept: tuple[int, ...]) -> list[int]:
    """Pitches of a stretch without its ends."""
    edge = min(len(kept) // 4, ms_to_frames(EDGE_MS) // line.hop_frames)
    return [line.pitches[k] for k in kept[edge : len(kept) - edge]]


def _glides(line: PitchLine, kept: tuple[int, ...]) -> bool:
    """Whether the two halves of a stretch, its ends left out, differ by more than a singer's waver or vibrato would make them."""
    middle = _middle(line, kept)
    half = len(middle) // 2
    if half < 2 or len(kept) * line.hop_frames > ms_to_frames(SPOKEN_MS):
        return False
    moved = abs(sum(middle[half:]) // (len(middle) - half) - sum(middle[:half]) // half)
    if moved * RATE_HZ <= GLIDE_C100_A_SECOND * half * line.hop_frames:
        return False
    return len(middle) * line.hop_frames < ms_to_frames(CYCLE_MS) or _one_way(middle)


def _one_way(pitches: list[int]) -> bool:
    """Whether a pitch moves the same way from each quarter of a stretch to the next: a turn of vibrato comes back."""
    edges = [len(pitches) * k // 4 for k in range(5)]
    means = [sum(pitches[a:b]) // max(b - a, 1) for a, b in itertools.pairwise(edges)]
    return means in (sorted(means), sorted(means, reverse=True))


def _runs(line: PitchLine, first: int, end: int) -> list[list[int]]:
    bridged, blip = ms_to_frames(BRIDGED_MS), ms_to_frames(BLIP_MS)
    runs: list[list[int]] = []
    for k in range(first, end):
        if not line.voiced[k]:
            continue
        if runs and (line.centres[k] - line.centres[runs[-1][-1]] < bridged or _sounds_on(line, runs[-1][-1], k)):
            runs[-1].append(k)
        else:
            runs.append([k])
    return [run for run in runs if len(run) * line.hop_frames >= blip]


def _sounds_on(line: PitchLine, last: int, again: int) -> bool:
    """Whether a tone goes on between two voiced frames although the tracker took it for a room's.

    A note held in a room fades where the room swallows its pitch, and at every turn of a vibrato; a breath takes longer.
    """
    if line.centres[again] - line.centres[last] > ms_to_frames(SOUNDS_ON_MS):
        return False
    pitch, least = line.pitches[last], line.levels[last] - SOUNDS_ON_DB10
    between = range(last + 1, again)
    same = sum(
        line.confidences[k] >= SOUNDS_ON_FROM and abs(line.pitches[k] - pitch) <= SPLIT_C100 and line.levels[k] >= least
        for k in between
    )
    return same * 10 >= len(between) * 9


def _without_slips(pitches: list[int]) -> list[int]:
    """The same pitches with lone jumps of the tracker set to the median around them."""
    if len(pitches) < 3:
        return pitches
    half = SLIP_WINDOW // 2
    mended = []
    for k, pitch in enumerate(pitches):
        around = median(pitches[max(0, k - half) : k + half + 1])
        mended.append(around if abs(pitch - around) > SLIP_C100 else pitch)
    return mended


def _cuts(pitches: list[int], hop_frames: int) -> list[int]:
    """Where the pitch moves for good, as indexes in (0, n), in order."""
    sums = [0]
    for pitch in pitches:
        sums.append(sums[-1] + pitch)
    width = max(2, ms_to_frames(CYCLE_MS) // hop_frames)
    shortest = max(2, ms_to_frames(SHORTEST_MS) // hop_frames)
    cuts: list[int] = []
    waiting = [(0, len(pitches))]
    while waiting:
        a, b = waiting.pop()
        best, at = 0, -1
        for t in range(a + shortest, b - shortest + 1):
            left, right = max(a, t - width), min(b, t + width)
            difference = abs((sums[right] - sums[t]) // (right - t) - (sums[t] - sums[left]) // (t - left))
            if difference > best:
                best, at = difference, t
        if best > SPLIT_C100:
            cuts.append(at)
            waiting += [(a, at), (at, b)]
    return sorted(cuts)
