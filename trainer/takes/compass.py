"""How far a voice goes today, heard from a glide down and up: what was sung steadily on, not what the tracker slipped to.

A note counts where the voice stayed on its semitone long enough, in a stretch whose pitch never jumps, and not much softer than the rest:
the last breath of a note that no longer carries is not compass (our own; a teacher's ear is the measure, within a tone).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from audio.heard import PitchFrame
from audio.units import SEMITONE_C100

STRETCH_HOPS = 20
"""A tenth of a second at 5 ms: shorter ones are slips of the tracker."""

LEAST_HOPS = 12
JUMP_C100 = 10_000
CLEAR = 500
SOFTER_DB10 = 250
MISSED_SEMITONES = 4
"""A voice may crack over a third and go on; what lies farther from the rest belongs to something else."""

LEAST_SEMITONES = 3


@dataclass(frozen=True, slots=True)
class Reach:
    """Lowest and highest note sung, MIDI numbers."""

    lowest: int
    highest: int


class Glide:
    """Frames as they come; what they have reached so far."""

    def __init__(self) -> None:
        self._frames: list[PitchFrame] = []

    def feed(self, frames: Iterable[PitchFrame]) -> None:
        """So much more."""
        self._frames += frames

    def silent_hops(self) -> int:
        """For how long nothing voiced was heard, up to now."""
        count = 0
        for frame in reversed(self._frames):
            if frame.voiced and frame.confidence >= CLEAR:
                break
            count += 1
        return count

    def reach(self) -> Reach | None:
        """Lowest and highest note; None while too little was sung."""
        return reach(self._frames)


def reach(frames: Iterable[PitchFrame]) -> Reach | None:
    """Lowest and highest note of a glide; None where less than a third was sung."""
    stretches = [part for part in _stretches(frames) if len(part) >= STRETCH_HOPS]
    levels = sorted(frame.level_db10 for part in stretches for frame in part)
    if not levels:
        return None
    least = levels[len(levels) * 9 // 10] - SOFTER_DB10
    held = Counter(round(f.f0_c100 / SEMITONE_C100) for part in stretches for f in part if f.level_db10 >= least)
    sung = sorted(note for note, hops in held.items() if hops >= LEAST_HOPS)
    groups: list[list[int]] = []
    for note in sung:
        if groups and note - groups[-1][-1] <= MISSED_SEMITONES:
            groups[-1].append(note)
        else:
            groups.append([note])
    best = max(groups, key=lambda group: sum(held[note] for note in group), default=[])
    if not best or best[-1] - best[0] < LEAST_SEMITONES:
        return None
    return Reach(best[0], best[-1])


def _stretches(frames: Iterable[PitchFrame]) -> Iterator[list[PitchFrame]]:
    """Frames in a row that are clearly voiced and do not jump."""
    part: list[PitchFrame] = []
    for frame in frames:
        clear = frame.voiced and frame.confidence >= CLEAR
        if part and (not clear or abs(frame.f0_c100 - part[-1].f0_c100) > JUMP_C100):
            yield part
            part = []
        if clear:
            part.append(frame)
    if part:
        yield part
