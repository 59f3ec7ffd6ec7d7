"""Several devices that listen and one that sounds, as one link: each has a clock of its own, and all are laid on the output's axis.

A device that says how long sound takes through it is read so much earlier than the slowest that what was sung at once lies at one
frame. One that vanishes is silent from then on and named; the others go on.
"""

from __future__ import annotations

import contextlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from types import TracebackType
from typing import Self

import numpy as np

from audio.block import Block, Samples, Sieve
from audio.devices._choice import Device, Refused, place_of
from audio.devices._following import Clock, Follower, Piece
from audio.devices.finding import SoundDevice
from audio.devices.link import Flags, SoundLink, SoundWish, channel_names


@dataclass(frozen=True, slots=True)
class Place:
    """Where one microphone of the link is: which device, counted from 0, and its channel, counted from 1."""

    device: int
    channel: int


@dataclass(frozen=True, slots=True)
class Vanished:
    """A microphone that is silent for good, from a frame of the link's axis on, and the name of its device."""

    frame: int
    device: str


def one_opening_each(
    wishes: Sequence[SoundWish], places: Sequence[Place], there: Sequence[SoundDevice]
) -> tuple[list[SoundWish], list[Place]]:
    """The same wishes and places, where what was asked for once by number and once by name is one device and opened once.

    *there* are the inputs as they are listed. A wish that fits none of them stands as it is: opening it says why.
    """
    rows = [Device(index, one.name, one.host, one.channels, one.default_rate_hz) for index, one in enumerate(there)]
    devices: list[object] = []
    kept: list[SoundWish] = []
    moved: list[int] = []
    for wish in wishes:
        device: object = wish
        with contextlib.suppress(Refused):
            device = place_of(rows, wish.input_number, wish.input_name)
        if device in devices:
            at = devices.index(device)
            kept[at] = replace(kept[at], channels_in=max(kept[at].channels_in, wish.channels_in))
        else:
            at = len(kept)
            devices.append(device)
            kept.append(wish)
        moved.append(at)
    return kept, [Place(moved[place.device], place.channel) for place in places]


class SideBySide:
    """A ``SoundLink`` of several.

    Parameters
    ----------
    axis : SoundLink
        Which sounds, or only counts; its frames are the link's.
    devices : sequence of SoundLink
        Which listen.
    places : sequence of Place
        The link's microphones in order, "mic1" and so on.
    """

    def __init__(self, axis: SoundLink, devices: Sequence[SoundLink], places: Sequence[Place]) -> None:
        self._axis, self._places = axis, tuple(places)
        self.rate_hz, self.block_frames = axis.rate_hz, axis.block_frames
        self.channels_in, self.channels_out = len(places), axis.channels_out
        self.input_name, self.output_name = " + ".join(one.input_name for one in devices), axis.output_name
        self.room_frames = axis.room_frames
        self.trouble = ""
        self._names = channel_names(self.channels_in, self.channels_out)
        self._clock = Clock(axis.rate_hz)
        slowest = max(_latency_seconds(link) for link in devices)
        self._ears = [_Ear(self._clock, link, slowest - _latency_seconds(link)) for link in devices]
        self._laid: list[Block] = []
        self._laid_until = 0
        self._sieve: Sieve | None = None
        self._flagged: int | None = None
        self._flagged_there: list[int | None] = [None] * len(devices)

    @property
    def alive(self) -> bool:
        """As ``SoundLink.alive``: while the output is there and one device that listens."""
        if not self.trouble and not self._axis.alive:
            self.trouble = self._axis.trouble
        if not self.trouble and not any(ear.link.alive for ear in self._ears):
            self.trouble = "every microphone has vanished"
        return not self.trouble

    @property
    def reported_round_trip_frames(self) -> int | None:
        """As ``SoundLink.reported_round_trip_frames``: out, and in through the slowest."""
        out = self._axis.reported_round_trip_frames
        ways = [ear.link.reported_round_trip_frames for ear in self._ears]
        if out is None or None in ways:
            return None
        return out + round(max(_latency_seconds(ear.link) for ear in self._ears) * self.rate_hz)

    def vanished(self) -> dict[str, Vanished]:
        """The microphones that are silent for good."""
        return {
            name: Vanished(self._ears[place.device].gone_from or 0, self._ears[place.device].link.input_name)
            for name, place in zip(self._names, self._places, strict=False)
            if self._ears[place.device].gone_from is not None
        }

    def write_until(self) -> int:
        """As ``SoundLink.write_until``."""
        return self._axis.write_until()

    def play(self, start_frame: int, samples: Samples) -> int:
        """As ``SoundLink.play``."""
        return self._axis.play(start_frame, samples)

    def read(self) -> list[Block]:
        """As ``SoundLink.read``; a second late at the beginning, until every clock is known."""
        here = [ear for ear in self._ears if ear.gone_from is None]
        for block in self._axis.read():
            self._clock.look(*_stamp(block, self.block_frames))
            self._laid.append(block)
            self._laid_until = block.end_frame
            for ear in here:
                ear.follower.laid(block.start_frame, block.end_frame, block.host_seconds or 0.0)
        for ear in here:
            ear.hear()
        if not all(ear.follower.ready for ear in here if ear.link.alive):
            for ear in here:
                ear.follower.pass_over()
            self._laid.clear()
            return []
        for ear in here:
            ear.pieces += ear.follower.given()
            if not ear.link.alive:
                ear.gone_from = ear.done_until(self._laid_until)
        return self._together()

    def flags(self) -> Flags:
        """As ``SoundLink.flags``: of all of them together."""
        whole = self._axis.flags()
        own = [ear.link.flags() for ear in self._ears]
        there = [one.last_flagged_frame for one in own]
        if there != self._flagged_there:
            self._flagged_there, self._flagged = there, self._axis.write_until()
        latest = max((frame for frame in (whole.last_flagged_frame, self._flagged) if frame is not None), default=None)
        return Flags(
            whole.callbacks,
            whole.overflows + sum(one.overflows for one in own),
            whole.underflows,
            whole.lost_frames + sum(one.lost_frames for one in own),
            whole.late_frames,
            latest,
        )

    def close(self) -> None:
        """As ``SoundLink.close``."""
        self.trouble = self.trouble or "the link is closed"
        for link in (self._axis, *(ear.link for ear in self._ears)):
            with contextlib.suppress(Exception):  # one that cannot be left keeps no other
                link.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _together(self) -> list[Block]:
        """What all that are there have given."""
        until = min((ear.done_until(self._laid_until) for ear in self._ears if ear.gone_from is None), default=None)
        until = self._laid_until if until is None else until
        blocks: list[Block] = []
        while self._laid and self._laid[0].start_frame < until:
            laid = self._laid.pop(0)
            if laid.end_frame > until:
                self._laid.insert(0, _cut(laid, until, laid.end_frame))
                laid = _cut(laid, laid.start_frame, until)
            blocks += self._heard_beside(laid)
        for ear in self._ears:
            ear.pieces = [piece for piece in ear.pieces if piece.start + len(piece.samples) > until]
        return blocks

    def _heard_beside(self, laid: Block) -> list[Block]:
        start, end = laid.start_frame, laid.end_frame
        heard = {index: ear.between(start, end) for index, ear in enumerate(self._ears)}
        columns = [heard[place.device][:, place.channel - 1] for place in self._places]
        samples = np.concatenate(
            [np.stack(columns, axis=1), laid.samples[:, laid.samples.shape[1] - self.channels_out :]], axis=1
        )
        block = Block(samples, self._names, start, self.rate_hz, laid.lost_frames_before, laid.host_seconds)
        if self._sieve is None:  # what lies before the first sound was never to be heard
            self._sieve = Sieve()
            found = list(self._sieve.feed(block))
            if not found:
                self._sieve = None
                return []
            return [Block(found[0].samples, self._names, found[0].start_frame, self.rate_hz), *found[1:]]
        return list(self._sieve.feed(block))


class _Ear:
    """One device that listens: its sound as long as it may be asked for, and what of it lies on the axis."""

    def __init__(self, clock: Clock, link: SoundLink, earlier_seconds: float) -> None:
        self.link = link
        self.follower = Follower(clock, link.rate_hz, link.channels_in, self._fetch, earlier_seconds=earlier_seconds)
        self.pieces: list[Piece] = []
        self.gone_from: int | None = None
        self._tape = np.zeros((0, link.channels_in), np.float32)
        self._tape_from = 0

    def done_until(self, laid_until: int) -> int:
        """Up to which frame of the axis nothing more will come."""
        waits_from = self.follower.waits_from
        return laid_until if waits_from is None else waits_from

    def hear(self) -> None:
        """Take what has come since."""
        for block in self.link.read():
            end = self._tape_from + len(self._tape)
            if block.start_frame != end:
                gap = max(0, block.start_frame - end) if len(self._tape) else 0
                self._tape = np.concatenate([self._tape, np.zeros((gap, self.link.channels_in), np.float32)])
                self._tape_from = block.start_frame - len(self._tape)
            self._tape = np.concatenate([self._tape, block.samples[:, : self.link.channels_in]])
            self.follower.heard(block.start_frame, block.end_frame, *_stamp(block, self.link.block_frames))
        spent = min(max(self.follower.needs_from - self._tape_from, 0), len(self._tape))
        self._tape, self._tape_from = self._tape[spent:], self._tape_from + spent

    def between(self, start: int, end: int) -> Samples:
        """Its sound from *start* to *end* of the axis: no number where something was lost, silence once it has vanished."""
        out = np.full((end - start, self.link.channels_in), np.nan, np.float32)
        for piece in self.pieces:
            first, last = max(start, piece.start), min(end, piece.start + len(piece.samples))
            if first < last:
                out[first - start : last - start] = piece.samples[first - piece.start : last - piece.start]
        if self.gone_from is not None:
            out[max(0, self.gone_from - start) :] = 0.0
        return out

    def _fetch(self, first: int, out: Samples) -> None:
        out[:] = 0.0
        begin, end = max(first, self._tape_from), min(first + len(out), self._tape_from + len(self._tape))
        if begin < end:
            out[begin - first : end - first] = self._tape[begin - self._tape_from : end - self._tape_from]


def _latency_seconds(link: SoundLink) -> float:
    """What a device that only listens says of its own delay; 0 where it says nothing."""
    return (link.reported_round_trip_frames or 0) / link.rate_hz


def _stamp(block: Block, usual_frames: int) -> tuple[int, float]:
    """The end of the first callback in a block, and when it came."""
    return block.start_frame + min(usual_frames, len(block.samples)), block.host_seconds or 0.0


def _cut(block: Block, start: int, end: int) -> Block:
    lost = block.lost_frames_before if start == block.start_frame else 0
    samples = np.array(block.samples[start - block.start_frame : end - block.start_frame])
    return Block(samples, block.channels, start, block.rate_hz, lost, block.host_seconds)
