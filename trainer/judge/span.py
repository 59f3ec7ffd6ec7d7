"""A stretch of one target on the frame axis of a take: what is listened to at once."""

from __future__ import annotations

from dataclasses import dataclass

OCTAVE = 120_000
SAME_C100 = 6_000

Reference = tuple[tuple[int, int, int], ...]
"""Rows of (from_frame, to_frame, pitch_c100) along a target."""


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of one target on the take's frame axis.

    Parameters
    ----------
    from_frame, to_frame : int
    own_start, own_end : bool
        Whether the stretch begins, or ends, where the note itself does: only there is sound trimmed.
    reference : Reference
        Of the whole target.
    before_frame, after_frame : int
        How far the sound of this note may reach: the middle of the target before, and where the target after has its middle.
    before_c100 : int or None
        Reference of the note just before, None after a rest or at the start.
    after_c100 : int or None
        Reference of the note just after.
    """

    from_frame: int
    to_frame: int
    own_start: bool
    own_end: bool
    reference: Reference
    before_frame: int
    after_frame: int
    before_c100: int | None = None
    after_c100: int | None = None

    @property
    def length_frames(self) -> int:
        """How long it lasts."""
        return self.to_frame - self.from_frame

    @property
    def whole_frames(self) -> int:
        """How long the whole target lasts."""
        return self.reference[-1][1] - self.reference[0][0]

    def reference_c100(self, frame: int) -> int:
        """Reference at *frame*, the nearest one outside the note."""
        for _, to_frame, pitch in self.reference:
            if frame < to_frame:
                return pitch
        return self.reference[-1][2]


def folded(difference_c100: int) -> int:
    """Distance to the nearest octave of a difference."""
    rest = difference_c100 % OCTAVE
    return min(rest, OCTAVE - rest)
