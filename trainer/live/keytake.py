"""One take on the keys: presses and releases become records, and time is told by the player's beats."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from audio.heard import OPEN_KEY, Anchor, Gap, Heard, KeyNote
from trainer.live.hand import Hand, LinkClock, Struck
from trainer.live.hearing import PAUSED
from trainer.live.places_in_time import Point
from trainer.live.player import Player
from trainer.live.take import TAIL_SECONDS, Laid

if TYPE_CHECKING:
    from audio.devices import SoundLink


class KeyTake:
    """The records of one keyed take, as they come. Parameters as of ``LiveTake``; *hand* is where keys come from."""

    source = "keyed"

    def __init__(
        self,
        link: SoundLink,
        player: Player,
        where: Laid,
        between: Callable[[], None],
        hand: Hand,
        clock: LinkClock,
    ) -> None:
        self._link, self._player, self._where = link, player, where
        self._between, self._hand, self._clock = between, hand, clock
        self._stopped = False
        self._open: dict[int, KeyNote] = {}
        self._told: Anchor = where.anchor
        self._paused_at: int | None = None
        self._held_back: list[Heard] = []

    @property
    def over(self) -> bool:
        """Whether the music is over, somebody stopped it, or the keys or the sound are gone."""
        begun = self._player.begun
        end = 0 if begun is None else begun.end_frame + round(TAIL_SECONDS * self._link.rate_hz)
        done = not self._player.paused and self._link.write_until() >= end
        return self.stopped or done

    @property
    def cut_off(self) -> bool:
        """Whether the keys or the sound are gone."""
        return not self._link.alive or not self._hand.alive

    @property
    def stopped(self) -> bool:
        """Whether it ended before the music did."""
        return self._stopped or not self._link.alive or not self._hand.alive

    @property
    def end_frame(self) -> int:
        """How far it went on the link's axis."""
        return self._link.write_until()

    def recordings(self, folder: Path) -> list[str]:
        """None: keys have no sound of their own."""
        del folder
        return []

    def stop(self) -> None:
        """End with what was played so far."""
        self._stopped = True

    @property
    def still_phase(self) -> str:
        """What a screen calls it while music time waits."""
        return "pause" if self._player.paused else "count-in"

    def pause(self) -> None:
        """Wait from the next beat on."""
        self._paused_at = self._player.pause()

    def resume(self) -> None:
        """Count a bar and go on."""
        frame = self._player.resume()
        if frame is not None and self._paused_at is not None:
            axis = self._where.axis
            self._held_back.append(Gap(axis.played(self._paused_at), axis.played(frame), PAUSED))
            self._paused_at = None

    def records(self) -> Iterator[Heard]:
        """Every key and every beat, in time order, until it is over; keys still down are let go at the end."""
        self._player.write(self._link)
        while True:
            self._clock.feed(self._link.read())
            for struck in self._hand.moved(self._player):
                yield from self._record(struck)
            yield from self._time()
            if self.over:
                break
            self._between()
            self._player.write(self._link)
        end = self._where.axis.played(self._link.write_until())
        for note in list(self._open.values()):
            yield KeyNote(note.line, note.on_frame, max(end, note.on_frame + 1), note.midi, note.velocity)

    def _record(self, struck: Struck) -> Iterator[KeyNote]:
        frame = self._where.axis.played(struck.frame)
        before = self._open.pop(struck.midi, None)
        if before is not None:
            yield KeyNote(0, before.on_frame, max(frame, before.on_frame + 1), before.midi, before.velocity)
        if struck.velocity and self._paused_at is None and frame >= 0:
            self._open[struck.midi] = KeyNote(0, frame, OPEN_KEY, struck.midi, struck.velocity)
            yield self._open[struck.midi]

    def _time(self) -> Iterator[Heard]:
        for point in self._player.points():
            anchor = self._anchored(point)
            if point.quarters_per_minute == 0:
                self._held_back.insert(0, anchor)
            elif anchor != self._where.anchor:
                yield from self._held_back
                self._held_back = []
                yield from self._forward(anchor)
        for point in self._player.beats_passed():
            yield from self._forward(self._anchored(point))

    def _forward(self, anchor: Anchor) -> Iterator[Anchor]:
        """An anchor, unless a later place was told already."""
        if anchor.frame >= self._told.frame and anchor.quarters >= self._told.quarters:
            self._told = anchor
            yield anchor

    def _anchored(self, point: Point) -> Anchor:
        return Anchor(self._where.axis.played(point.frame), point.quarters, point.quarters_per_minute)
