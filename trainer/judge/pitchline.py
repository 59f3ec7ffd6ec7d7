"""The pitch line of one singer as plain integers, and the windows that the judge looks through."""

from __future__ import annotations

import math
from bisect import bisect_left

from audio.heard import PitchFrame

FALLBACK_HOP_FRAMES = 120


class PitchLine:
    """Frames of one line in time order, as columns.

    Attributes
    ----------
    centres, pitches, confidences, levels, residuals, echoes, uncertainties : list of int
        As in ``audio.heard.PitchFrame``.
    voiced : list of bool
    """

    __slots__ = ("centres", "confidences", "echoes", "levels", "pitches", "residuals", "uncertainties", "voiced")

    def __init__(self) -> None:
        self.centres: list[int] = []
        self.pitches: list[int] = []
        self.voiced: list[bool] = []
        self.confidences: list[int] = []
        self.levels: list[int] = []
        self.residuals: list[int] = []
        self.echoes: list[int] = []
        self.uncertainties: list[int] = []

    def __len__(self) -> int:
        return len(self.centres)

    def append(self, frame: PitchFrame) -> None:
        """One more frame."""
        self.centres.append(frame.centre_frame)
        self.pitches.append(frame.f0_c100)
        self.voiced.append(frame.voiced)
        self.confidences.append(frame.confidence)
        self.levels.append(frame.level_db10)
        self.residuals.append(frame.residual_db10)
        self.echoes.append(frame.echo_db10)
        self.uncertainties.append(frame.uncertainty_cents)

    def with_voiced(self, voiced: list[bool]) -> PitchLine:
        """The same frames with another opinion of which were sung."""
        other = PitchLine()
        for name in self.__slots__:
            setattr(other, name, getattr(self, name))
        other.voiced = voiced
        return other

    def window(self, from_frame: int, to_frame: int) -> tuple[int, int]:
        """First index and the one after the last of the frames centred in [from, to)."""
        return bisect_left(self.centres, from_frame), bisect_left(self.centres, to_frame)

    def tone_db10(self, k: int) -> int:
        """Level of what is one harmonic tone in frame *k*, tenths of a dBFS."""
        return self.levels[k] + round(100 * math.log10(max(self.confidences[k], 1) / 1_000))

    def left_over_db10(self, k: int) -> int:
        """Level of what that tone leaves over in frame *k*, tenths of a dBFS."""
        return self.levels[k] + round(100 * math.log10(max(1_000 - self.confidences[k], 1) / 1_000))

    @property
    def hop_frames(self) -> int:
        """Mean distance of two frames, told from the first thousand."""
        last = min(len(self.centres), 1000) - 1
        if last < 1:
            return FALLBACK_HOP_FRAMES
        return max(1, (self.centres[last] - self.centres[0] + last // 2) // last)
