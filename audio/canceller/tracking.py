"""A pitch tracker behind a canceller: it hears what is left, and what is only our own leavings is nobody's voice."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from audio.block import Block
from audio.canceller._leftover import CLEAR
from audio.canceller.stage import Canceller
from audio.heard import NO_ECHO_DB10, Gap, PitchFrame
from audio.pitch import Tracker
from audio.units import c100_to_hz

NOT_TAKEN = "our own sound was not taken away"
MOST_FRAMES = 4_096
"""Of a block at once: spectra are kept for a second only."""


class CancellingTracker:
    """A ``Tracker`` of blocks that have "played1" ... beside the microphone.

    Each frame says in ``echo_db10`` how loud our own leavings are expected in its very tone; it is voiced only where it holds clearly
    more.

    Parameters
    ----------
    canceller : Canceller
    tracker : Tracker
        Of the canceller's channel.
    """

    def __init__(self, canceller: Canceller, tracker: Tracker) -> None:
        self.canceller, self._tracker = canceller, tracker

    @property
    def latency_frames(self) -> int:
        """The tracker's and the canceller's together."""
        return self._tracker.latency_frames + self.canceller.latency_frames

    @property
    def hop_frames(self) -> int:
        """The tracker's."""
        return self._tracker.hop_frames

    def feed(self, block: Block) -> list[PitchFrame | Gap]:
        """Estimates that this block makes known."""
        out = [
            judged_beside(self.canceller, record)
            for part in _parts(block)
            for clean in self.canceller.feed(part)
            for record in self._tracker.feed(clean)
        ]
        return out + lost_gaps(self.canceller)

    def flush(self) -> list[PitchFrame | Gap]:
        """Estimates still to come when the sound ends."""
        out = [record for clean in self.canceller.flush() for record in self._tracker.feed(clean)]
        return [judged_beside(self.canceller, record) for record in out + self._tracker.flush()] + lost_gaps(
            self.canceller
        )

    def reset(self) -> None:
        """As new."""
        self.canceller.reset()
        self._tracker.reset()


def lost_gaps(canceller: Canceller, zero_frame: int = 0) -> list[PitchFrame | Gap]:
    """Where our own sound was not taken away although it was there, as far as it is known now: as good as lost sound."""
    return [
        Gap(max(begin - zero_frame, 0), end - zero_frame, NOT_TAKEN)
        for begin, end in canceller.lost_spans()
        if end > zero_frame
    ]


def judged_beside(canceller: Canceller, record: PitchFrame | Gap, zero_frame: int = 0) -> PitchFrame | Gap:
    """The record with what our own sound may have to do with it.

    Parameters
    ----------
    canceller : Canceller
        Which has heard the record's sound.
    record : PitchFrame or Gap
    zero_frame : int
        Where the record's axis begins on the canceller's.
    """
    if isinstance(record, Gap) or not canceller.taking:
        return record
    centre = record.centre_frame + zero_frame
    left, ours = canceller.leftover.of_tone(centre, c100_to_hz(record.f0_c100))
    echo_db10 = max(NO_ECHO_DB10 + 1, round(100 * math.log10(max(ours, 1e-12))))
    return replace(record, echo_db10=echo_db10, voiced=record.voiced and left > CLEAR * ours)


def _parts(block: Block) -> Iterator[Block]:
    if len(block.samples) <= MOST_FRAMES:
        yield block
        return
    for begin in range(0, len(block.samples), MOST_FRAMES):
        lost = 0 if begin else block.lost_frames_before
        samples = block.samples[begin : begin + MOST_FRAMES]
        yield Block(samples, block.channels, block.start_frame + begin, block.rate_hz, lost)
