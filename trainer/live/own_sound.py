"""Our own loudspeaker taken away from a link's microphone, all through a session: what was learnt in one take serves the next."""

from __future__ import annotations

from collections.abc import Iterable

from audio.block import Block
from audio.canceller.path import EchoPath
from audio.canceller.stage import Canceller
from audio.canceller.tracking import judged_beside, left_over, lost_gaps
from audio.heard import Gap, PitchFrame
from audio.pitch import Besides
from audio.units import RATE_HZ

NEVER = 1 << 60
LEAST_DB = 6
"""Taken down by less, our own sound is as good as there."""


class OwnSound:
    """Fed with every block of the link, in order.

    Parameters
    ----------
    path : EchoPath
        As soundcheck learnt it.
    channel : str
        The microphone.
    """

    def __init__(self, path: EchoPath, channel: str = "mic1") -> None:
        self._canceller = Canceller(channel, path=path, nobody=self._nobody)
        self._nobody_before = NEVER

    def feed(self, block: Block) -> list[Block]:
        """The microphone alone at ``RATE_HZ``, on the link's axis."""
        return self._canceller.feed(block)

    def pass_by(self, blocks: Iterable[Block]) -> None:
        """Between takes nothing is judged, but our own sound is heard and learnt from."""
        for block in blocks:
            self._canceller.feed(block)

    def left_over(self, zero_frame: int) -> Besides:
        """What the tracker of a take that begins at *zero_frame*, at ``RATE_HZ``, is to hear over."""
        return left_over(self._canceller, zero_frame)

    def judged(self, record: PitchFrame | Gap, zero_frame: int) -> PitchFrame | Gap:
        """A record of a take that begins at *zero_frame*, at ``RATE_HZ``, told what our own sound may have to do with it."""
        return judged_beside(self._canceller, record, zero_frame)

    def not_taken(self, zero_frame: int) -> list[PitchFrame | Gap]:
        """What is known since this was last asked of stretches in which our own sound was not taken away."""
        return lost_gaps(self._canceller, zero_frame)

    def take_begins(self, entry_frame: int, rate_hz: int) -> None:
        """Nobody is asked to sing before this frame of the link."""
        self._nobody_before = entry_frame * RATE_HZ // rate_hz

    def take_is_over(self) -> None:
        """Nobody is asked to sing until the next take."""
        self._nobody_before = NEVER

    def words(self) -> str:
        """What a report says of it; "" where our own sound was not heard."""
        taken_db = self._canceller.taken_db
        if taken_db is None:
            return ""
        if taken_db < LEAST_DB:
            return "Our own sound was in the microphone and could hardly be taken away: heldline soundcheck learns the room anew."
        return f"Our own sound was in the microphone and was taken away: {taken_db:.0f} dB softer."

    def _nobody(self, frame: int) -> bool:
        return frame < self._nobody_before
