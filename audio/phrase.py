"""Notes of one voice that touch: one breath of an instrument, in frames of its own."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from audio.curve import PitchCurve, PitchStep


@dataclass(frozen=True, slots=True)
class Sung:
    """One note of a phrase. ``steps`` are in the phrase's frames, the first at ``from_frame``."""

    from_frame: int
    to_frame: int
    steps: tuple[PitchStep, ...]

    def __post_init__(self) -> None:
        """A note has length, and pitch from its first frame."""
        if self.to_frame <= self.from_frame or not self.steps or self.steps[0].at_frame != self.from_frame:
            raise ValueError(f"a note from frame {self.from_frame} to {self.to_frame} is not one")


@dataclass(frozen=True, slots=True)
class Phrase:
    """Notes without a gap between them, the first at frame 0."""

    notes: tuple[Sung, ...]
    rate_hz: int
    # a long phrase is asked for segment by segment, so what belongs to all of it is worked out once
    _curves: dict[float, PitchCurve] = field(default_factory=dict, init=False, compare=False, repr=False)
    _seams: list[tuple[int, bool]] = field(default_factory=list, init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        """Find the seams. Raises ValueError when notes do not touch."""
        for before, after in zip(self.notes, self.notes[1:], strict=False):
            if before.to_frame != after.from_frame:
                raise ValueError(f"a note ends at frame {before.to_frame} and the next begins at {after.from_frame}")
            self._seams.append((after.from_frame, before.steps[-1].f0_hz == after.steps[0].f0_hz))

    @property
    def length_frames(self) -> int:
        """Where the last note ends."""
        return self.notes[-1].to_frame

    def curve(self, glide_seconds: float) -> PitchCurve:
        """Its pitch; neighbouring steps of one pitch are one."""
        if glide_seconds in self._curves:
            return self._curves[glide_seconds]
        steps: list[PitchStep] = []
        for note in self.notes:
            for step in note.steps:
                if not steps or step.f0_hz != steps[-1].f0_hz:
                    steps.append(step)
        curve = PitchCurve(tuple(steps), self.rate_hz, round(glide_seconds * self.rate_hz))
        self._curves[glide_seconds] = curve
        return curve

    def seams(self, from_frame: int, to_frame: int) -> list[tuple[int, bool]]:
        """Frame of every seam between two notes in a stretch, and whether the second repeats the first one's pitch."""
        low = bisect_left(self._seams, from_frame, key=lambda seam: seam[0])
        return self._seams[low : bisect_left(self._seams, to_frame, key=lambda seam: seam[0])]


@dataclass(frozen=True, slots=True)
class Breath:
    """How loudness moves along a phrase: swells in, sinks a little at each seam, fades out before its end.

    Parameters
    ----------
    attack_seconds, release_seconds : float
        Half a cosine each; both shrink in a phrase too short for them.
    seam_seconds : float
        Width of the dip at a seam.
    seam_depth, restrike_depth : float
        How much of the loudness a seam takes away, 0 to 1: between two pitches, and before the same pitch again.
    """

    attack_seconds: float = 0.04
    release_seconds: float = 0.09
    seam_seconds: float = 0.08
    seam_depth: float = 0.3
    restrike_depth: float = 0.85

    def along(self, phrase: Phrase, from_frame: int, to_frame: int) -> NDArray[np.float64]:
        """Gain of every frame, 0 to 1, shape (n,)."""
        frames = np.arange(from_frame, to_frame)
        length = phrase.length_frames
        attack = min(round(self.attack_seconds * phrase.rate_hz), length // 3)
        release = min(round(self.release_seconds * phrase.rate_hz), length // 3)
        gain = _rise(frames, attack) * _rise(length - 1 - frames, release)
        half = round(self.seam_seconds * phrase.rate_hz) // 2
        for at, again in phrase.seams(from_frame - half, to_frame + half + 1):
            low, high = max(at - half - from_frame, 0), min(at + half - from_frame, len(frames))
            if low < high and half:
                depth = self.restrike_depth if again else self.seam_depth
                turn = np.pi * (frames[low:high] - at) / half
                gain[low:high] *= 1 - depth * (1 + np.cos(turn)) / 2
        return gain


def _rise(frames: NDArray[np.int64], length: int) -> NDArray[np.float64]:
    if length == 0:
        return np.where(frames >= 0, 1.0, 0.0)
    gain = np.where(frames >= length, 1.0, 0.0)
    rising = (frames > 0) & (frames < length)  # a few hundred frames of some ten thousand
    gain[rising] = (1 - np.cos(np.pi * (frames[rising] / length))) / 2
    return gain
