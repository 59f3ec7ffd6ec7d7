"""What is far fainter than the singer is not the singer: headphones heard from outside, a neighbour's radio, the room.

A singer's soft notes lie up to 20 dB under the loud ones; what lies 24 dB or more under the middle of all that is voiced is left out.
(Own choice; measured by tests/bench/verdicts with our voices leaking from headphones.)
"""

from __future__ import annotations

from trainer.judge.phonation import median
from trainer.judge.pitchline import PitchLine

FAINT_DB10 = 240


def without_faint(line: PitchLine) -> PitchLine:
    """The line with far fainter frames made unvoiced; the line itself where there are none."""
    sung = [level for level, voiced in zip(line.levels, line.voiced, strict=True) if voiced]
    if not sung:
        return line
    least = median(sung) - FAINT_DB10
    if min(sung) >= least:
        return line
    return line.with_voiced([voiced and level >= least for level, voiced in zip(line.levels, line.voiced, strict=True)])
