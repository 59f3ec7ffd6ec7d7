"""A pitch tracker behind a canceller: it hears what is left, and what is only our own leavings is nobody's voice.

The tracker is told how loud our own leavings are expected in each bin, and hears a tone only as far as it stands out of them; a frame
is voiced only where its tone holds clearly more than they do in its very harmonics.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from audio.block import Block
from audio.canceller._foretold import in_tone
from audio.canceller.stage import Canceller
from audio.heard import NO_ECHO_DB10, Gap, PitchFrame
from audio.pitch import Besides, TrackerMaker
from audio.units import c100_to_hz

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

NOT_TAKEN = "our own sound was not taken away"
MOST_FRAMES = 4_096
"""Of a block at once: what is foretold is kept for some seconds only."""

CLEAR = 2.0
"""A tone so much above our own leavings in its own harmonics is the singer's."""


class CancellingTracker:
    """A ``Tracker`` of blocks that have "played1" ... beside the microphone.

    Each frame says in ``echo_db10`` how loud our own leavings are expected in its very tone.

    Parameters
    ----------
    canceller : Canceller
    maker : TrackerMaker
    line : int
        Written into each frame.
    """

    def __init__(self, canceller: Canceller, maker: TrackerMaker, *, line: int = 0) -> None:
        self.canceller = canceller
        self._tracker = maker(line=line, channel=canceller.channel, besides=left_over(canceller))

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


def left_over(canceller: Canceller, zero_frame: int = 0) -> Besides:
    """What a tracker is to hear over, whose axis begins at *zero_frame* on the canceller's."""

    def under(centre_frames: NDArray[np.int64]) -> NDArray[np.float64] | None:
        return canceller.foretold.under(centre_frames + zero_frame)

    return under


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
    if isinstance(record, Gap):
        return record
    expected = canceller.foretold.at(record.centre_frame + zero_frame)
    if expected is None:
        return record
    ours = in_tone(expected.power, c100_to_hz(record.f0_c100))
    tone = 10 ** (record.level_db10 / 100) * record.confidence / 1000
    echo_db10 = max(NO_ECHO_DB10 + 1, round(100 * math.log10(max(ours, 1e-12))))
    return replace(record, echo_db10=echo_db10, voiced=record.voiced and tone > CLEAR * ours)


def _parts(block: Block) -> Iterator[Block]:
    if len(block.samples) <= MOST_FRAMES:
        yield block
        return
    for begin in range(0, len(block.samples), MOST_FRAMES):
        lost = 0 if begin else block.lost_frames_before
        samples = block.samples[begin : begin + MOST_FRAMES]
        yield Block(samples, block.channels, block.start_frame + begin, block.rate_hz, lost)
