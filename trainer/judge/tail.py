"""The room after a note: sound that only dies away is nobody's note, whatever its pitch.

A room's energy falls by as many decibels in every stretch of time, 60 in one reverberation time (Sabine 1900). A chapel of 3.5 s still
falls by 17 dB a second; a singer who lets a note sink as fast has left it.
"""

from __future__ import annotations

from trainer.judge.phonation import ms_to_frames
from trainer.judge.pitchline import PitchLine

SLOWEST_DB10_A_SECOND = 170
LEAST_DB10 = 60
STEP_MS = 80
RISE_DB10 = 20  # what a room's own beats bring back
SETTLED_MS = 60


def dies_away(line: PitchLine, from_frame: int, to_frame: int) -> bool:
    """Whether what sounds from one frame to another is no more than the room's answer to what was there before.

    Parameters
    ----------
    line : PitchLine
    from_frame, to_frame : int
        Where a note is due, and where the sound that might be it ends.
    """
    first, begun = line.window(from_frame - 2 * ms_to_frames(STEP_MS), from_frame + ms_to_frames(SETTLED_MS))
    loudest = max(line.levels[first:begun], default=None)
    if loudest is None:
        return False
    past, at, last = loudest, from_frame + ms_to_frames(SETTLED_MS), loudest
    while at < to_frame:
        a, b = line.window(at, min(at + ms_to_frames(STEP_MS), to_frame))
        if a < b:
            last = max(line.levels[a:b])
            due = loudest - SLOWEST_DB10_A_SECOND * (at - from_frame) // ms_to_frames(1_000)
            if last > min(past, due) + RISE_DB10:
                return False
            past = min(past, last)
        at += ms_to_frames(STEP_MS)
    return loudest - last >= LEAST_DB10
