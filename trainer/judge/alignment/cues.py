"""Moments at which a note may begin: a steady stretch's start or end, a dip in level, and, at a price, any tenth of a second."""

from __future__ import annotations

from audio.units import RATE_HZ
from trainer.judge.alignment.costs import DIP_CUE, NO_SOUND_CUE, Cue
from trainer.judge.phonation import Segment, ms_to_frames
from trainer.judge.pitchline import PitchLine

GRID_MS = 100
NEAR_MS = 30
DIP_DB10 = 40
DIP_AROUND_MS = 120


def cues(line: PitchLine, steady: list[Segment]) -> list[Cue]:
    """All of them in time order, none closer than 30 ms to a better one."""
    found = [Cue(s.start_frame, 0) for s in steady]
    found += [Cue(s.end_frame, 0) for s in steady]
    found += [Cue(frame, DIP_CUE) for frame in _dips(line)]
    first, last = steady[0].start_frame, steady[-1].end_frame
    found += [Cue(frame, NO_SOUND_CUE) for frame in range(first, last + RATE_HZ, ms_to_frames(GRID_MS))]
    kept: list[Cue] = []
    for cue in sorted(found, key=lambda c: (c.frame, c.points)):
        if kept and cue.frame - kept[-1].frame < ms_to_frames(NEAR_MS):
            if cue.points < kept[-1].points:
                kept[-1] = cue
            continue
        kept.append(cue)
    return kept


def _dips(line: PitchLine) -> list[int]:
    """Ends of short falls in level inside the sound: where a note of the same pitch is begun anew."""
    around = max(1, ms_to_frames(DIP_AROUND_MS) // line.hop_frames)
    levels = line.levels
    found = []
    for k in range(around, len(levels) - around):
        here = levels[k]
        if here > levels[k - 1] or here >= levels[k + 1] or here != min(levels[k - around // 2 : k + around // 2 + 1]):
            continue
        before, after = max(levels[k - around : k]), max(levels[k + 1 : k + around + 1])
        if min(before, after) - here >= DIP_DB10:
            up = next((j for j in range(k, k + around) if levels[j] >= after - DIP_DB10 // 2), k)
            found.append(line.centres[up])
    return found
