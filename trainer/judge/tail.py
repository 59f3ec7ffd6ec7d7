"""The room after a note: sound that only dies away is nobody's note, whatever its pitch.

A room's energy falls by as many decibels in every stretch of time, 60 in one reverberation time (Sabine 1900). A chapel of 3.5 s still
falls by 17 dB a second; a singer who lets a note sink as fast has left it.
"""

from __future__ import annotations

from trainer.judge.faint import FAINT_DB10
from trainer.judge.phonation import ms_to_frames
from trainer.judge.pitchline import PitchLine

SLOWEST_DB10_A_SECOND = 170
LEAST_DB10 = 60
FAR_UNDER_DB10 = 150  # no repeated note is begun so much softer, but for the softest
STEP_MS = 80
RISE_DB10 = 20  # what a room's own beats bring back
SETTLED_MS, RELEASE_MS = 60, 40
NEXT_BEGINS_MS = 100  # a consonant of the next note may lie so early
OVER_TENTHS = 4  # of the note: its last part


def dies_away(line: PitchLine, from_frame: int, to_frame: int) -> bool:
    """Whether what sounds from one frame to another is no more than the room's answer to what was there before.

    It must be softer than what was there before, and go on falling as a room does: a note begun again more softly stays where it is.

    Parameters
    ----------
    line : PitchLine
    from_frame, to_frame : int
        Where a note is due, and where the sound that might be it ends.
    """
    step, settled = ms_to_frames(STEP_MS), from_frame + ms_to_frames(SETTLED_MS)
    first, begun = line.window(from_frame - 2 * step, settled)
    loudest = max(line.levels[first:begun], default=None)
    windows = (line.window(at, min(at + step, to_frame)) for at in range(settled, to_frame, step))
    levels = [max(line.levels[a:b]) for a, b in windows if a < b]
    if loudest is None or not levels or loudest - levels[-1] < LEAST_DB10:
        return False
    if any(level > min([loudest, *levels[:k]]) + RISE_DB10 for k, level in enumerate(levels)):
        return False
    if len(levels) < 2 or loudest - levels[0] >= FAR_UNDER_DB10:
        return True
    kept = levels if to_frame - settled >= len(levels) * step else levels[:-1]
    return (kept[0] - kept[-1]) * ms_to_frames(1_000) >= SLOWEST_DB10_A_SECOND * (len(kept) - 1) * step > 0


def fades_out(line: PitchLine, from_frame: int, to_frame: int, faint_db10: int) -> bool:
    """Whether what was there before only fades into a note, and in the note's last part nothing is as loud as this singer.

    Parameters
    ----------
    line : PitchLine
    from_frame, to_frame : int
        The note.
    faint_db10 : int
        What is softer is not this singer; nor is what is far under the note before.
    """
    step, settled = ms_to_frames(STEP_MS) // 2, from_frame + ms_to_frames(SETTLED_MS)
    length = to_frame - from_frame
    over, next_begins = to_frame - length * OVER_TENTHS // 10, min(ms_to_frames(NEXT_BEGINS_MS), length // 5)
    first, begun = line.window(from_frame - 4 * step, settled)
    falling = (line.window(at, min(at + step, over)) for at in range(settled, over, step))
    levels = [max(line.levels[a:b]) for a, b in falling if a < b]
    first_left, end_left = line.window(over, to_frame - next_begins)
    if first == begun or not levels or first_left == end_left:
        return False
    loudest = max(line.levels[first:begun])
    if loudest - levels[0] < LEAST_DB10 or any(b > min(levels[:k]) + RISE_DB10 for k, b in enumerate(levels) if k):
        return False
    least = max(faint_db10, loudest - FAINT_DB10)
    return not any(line.voiced[k] or line.levels[k] >= least for k in range(first_left, end_left))
