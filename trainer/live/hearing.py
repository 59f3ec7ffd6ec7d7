"""Blocks of a link become what is heard on the take's own axis, exactly as the blocks of a recording do."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from audio.block import Block, Sieve
from audio.heard import Gap, PitchFrame
from audio.pitch import DEFAULT_TRACKER, TRACKERS, nothing_besides
from audio.several import SeveralSingers
from audio.units import RATE_HZ
from trainer.live.delay import Axis
from trainer.live.overheard import Overheard
from trainer.live.own_sound import OwnSound

PAUSED = "paused"
FOR_EVER = 1 << 60


class Hearing:
    """The microphones of a link, one singer each, tracked.

    Parameters
    ----------
    axis : Axis
    channels : sequence of str
        Which microphones; ``Heard.line`` counts them.
    own : OwnSound or None
        Takes our own sound away before anything is tracked.
    """

    def __init__(self, axis: Axis, *, channels: Sequence[str] = ("mic1",), own: OwnSound | None = None) -> None:
        self._axis = axis
        self._own = own
        self._channels = tuple(channels)
        self._several = SeveralSingers(channels) if len(channels) > 1 else None
        self._zero_frame = axis.zero_frame * RATE_HZ // axis.delay.rate_hz
        self._tracker = self._several or TRACKERS.load("audio.pitch")[DEFAULT_TRACKER](
            channel=channels[0], besides=nothing_besides if own is None else own.left_over(self._zero_frame)
        )
        self._sieve = Sieve()
        self._pauses: list[tuple[int, int | None]] = []
        self._sound: list[Block] = []
        self.keeping = False
        self.overheard: Overheard | None = None
        self._ends: dict[int, int] = {}
        self.end_frame = axis.zero_frame

    def feed(self, blocks: Iterable[Block]) -> Iterator[PitchFrame | Gap]:
        """What these blocks make known; sound before the take's beginning and in its pauses is passed over."""
        for block in blocks:
            self.end_frame = block.end_frame
            if self.keeping:
                self._sound += self._wanted(block)
            for clean in (block,) if self._own is None else self._own.feed(block):
                for piece in self._wanted(clean):
                    for part in self._sieve.feed(piece):
                        if self.overheard is not None:
                            self.overheard.hear(part)
                        yield from self._told(self._tracker.feed(part))
        yield from self._not_taken()

    def flush(self) -> list[PitchFrame | Gap]:
        """What is left when the take is over."""
        return [*self._told(self._tracker.flush()), *self._not_taken()]

    @property
    def others(self) -> str:
        """Whether the played voices may be "sounding" in what is tracked, or are "taken away"."""
        return "sounding" if self._own is None else "taken away"

    def said(self) -> list[str]:
        """A sentence a microphone on what it hears of the other singers."""
        return [""] if self._several is None else self._several.said()

    def ends(self, channel: str, from_frame: int) -> None:
        """From this link frame on a microphone is gone: what it sends is no silence of its singer's."""
        if channel in self._channels:
            self._ends[self._channels.index(channel)] = self._axis.heard(from_frame)

    def pause(self, from_frame: int) -> None:
        """Nothing is heard from this link frame on."""
        self._pauses.append((from_frame, None))

    def resume(self, to_frame: int) -> None:
        """It is heard again from this link frame on."""
        self._pauses[-1] = (self._pauses[-1][0], to_frame)

    def kept(self) -> Iterator[np.ndarray[tuple[int, ...], np.dtype[np.float32]]]:
        """The take's sound so far, a column a microphone, what was lost or passed over as silence, so that frames stay in place."""
        at = 0
        for block in self._sound:
            if block.start_frame > at:
                yield np.zeros((block.start_frame - at, len(self._channels)), np.float32)
            yield np.asarray(block.samples)
            at = block.end_frame

    def _wanted(self, block: Block) -> Iterator[Block]:
        """The stretches of one block that are the take's, on its own axis at the block's rate, the link's or ``RATE_HZ``."""

        def at(frame: int) -> int:
            return frame * block.rate_hz // self._axis.delay.rate_hz

        zero = at(self._axis.zero_frame)
        cuts = [(zero, block.end_frame)]
        for from_frame, to_frame in self._pauses:
            begin, end = cuts.pop()
            cuts.append((begin, min(end, at(from_frame))))
            if to_frame is not None:
                cuts.append((max(begin, at(to_frame)), end))
        sound = np.stack([block.channel(name) for name in self._channels], axis=1)
        lost = block.lost_frames_before
        for from_frame, to_frame in cuts:
            begin, end = max(from_frame, block.start_frame), min(to_frame, block.end_frame)
            if begin < end:
                samples = np.array(sound[begin - block.start_frame : end - block.start_frame], np.float32)
                yield Block(samples, self._channels, begin - zero, block.rate_hz, lost_frames_before=lost)
                lost = 0

    def _told(self, records: Iterable[PitchFrame | Gap]) -> Iterator[PitchFrame | Gap]:
        for record in records:
            if isinstance(record, Gap) or record.centre_frame < self._ends.get(record.line, FOR_EVER):
                yield self._named(record)

    def _not_taken(self) -> list[PitchFrame | Gap]:
        return [] if self._own is None else self._own.not_taken(self._zero_frame)

    def _named(self, record: PitchFrame | Gap) -> PitchFrame | Gap:
        if self._own is not None:
            record = self._own.judged(record, self._zero_frame)
        if isinstance(record, Gap) and any(
            self._axis.heard(from_frame) - RATE_HZ // 10
            <= record.from_frame
            <= self._axis.heard(from_frame) + RATE_HZ // 10
            for from_frame, _ in self._pauses
        ):
            return replace(record, why=PAUSED)
        return record
