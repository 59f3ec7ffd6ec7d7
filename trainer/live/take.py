"""One live take: the link's blocks become records, and those go through the same ``judge`` as a recording's.

The loop is the generator of records itself: between two reads it lays sound ahead, asks whoever watches (*between*), and waits.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

from audio.heard import UNTIMED, Anchor, Gap, Heard
from audio.units import RATE_HZ
from trainer.live.delay import Axis, Delay, whole_zero
from trainer.live.following import Following
from trainer.live.hearing import Hearing
from trainer.live.overheard import Overheard
from trainer.live.own_sound import OwnSound
from trainer.live.places_in_time import Begun, Point
from trainer.live.player import Player
from trainer.practice.settings import Settings

if TYPE_CHECKING:
    from audio.block import Block
    from audio.devices import SoundLink

TAIL_SECONDS = Fraction(3, 5)
"""How long is listened after the last beat: its verdict waits 150 ms, and a held-on last note has an end."""

BEFORE_COUNT_SECONDS = Fraction(1, 2)
FAR_FRAMES = 24 * 3600 * RATE_HZ
SETTLED_SECONDS = 1
"""A stream may stumble while it starts; what is flagged so early is over before anything is judged."""

RESUME_BEFORE_SECONDS = Fraction(3, 10)


@dataclass(frozen=True, slots=True)
class Laid:
    """A take laid on a link: its axis, its first anchor and the settings under which it is judged."""

    axis: Axis
    anchor: Anchor
    settings: Settings


def laid(begun: Begun, player: Player, delay: Delay, settings: Settings) -> Laid:
    """Where a take that the player has begun lies on its own axis, which starts half a second before the counting."""
    zero = whole_zero(max(0, begun.count_frame - round(BEFORE_COUNT_SECONDS * delay.rate_hz)), delay.rate_hz)
    axis = Axis(zero, delay)
    first = player.tempo.points[0][1]
    anchor = Anchor(axis.played(begun.music_frame), Fraction(0), first)
    full = player.stems.score.bars().first_full_quarters
    starts_at_s = Fraction(anchor.frame, RATE_HZ) + player.tempo.seconds(full)
    return Laid(axis, anchor, replace(settings, starts_at_s=starts_at_s, delay_known=delay.known, tempo_qpm=first))


class LiveTake:
    """The records of one take, as they come.

    Parameters
    ----------
    link : SoundLink
    player : Player
        Which has begun the take.
    where : Laid
    between : callable
        Called between two reads: draws, looks at keys, lets a moment pass.
    seen : callable
        Told of the blocks as they come.
    own : OwnSound or None
        Takes our own loudspeaker away.
    channels : sequence of str
        The microphones, one singer each.
    """

    source = "sung"

    def __init__(
        self,
        link: SoundLink,
        player: Player,
        where: Laid,
        between: Callable[[], None],
        seen: Callable[[list[Block]], None] = lambda _: None,
        own: OwnSound | None = None,
        channels: Sequence[str] = ("mic1",),
    ) -> None:
        self._link, self._player, self._where, self._between, self._seen = link, player, where, between, seen
        self.hearing, self._channel_count = Hearing(where.axis, channels=channels, own=own), len(channels)
        self._stopped = False
        self._flagged: int | None = None
        self._paused_at: int | None = None
        self._held_back: list[Anchor] = []
        self._following = Following(player, where.axis) if where.settings.time == "free" else None

    @property
    def over(self) -> bool:
        """Whether all has been heard, somebody stopped it, or the link is gone."""
        begun = self._player.begun
        rate = self._where.axis.delay.rate_hz
        end = 0 if begun is None else begun.end_frame + self._where.axis.delay.frames + round(TAIL_SECONDS * rate)
        done = not self._player.paused and self.hearing.end_frame >= end
        return self._stopped or not self._link.alive or done

    @property
    def end_frame(self) -> int:
        """How far was heard, on the link's axis."""
        return self.hearing.end_frame

    def recordings(self, folder: Path) -> list[str]:
        """The take's sound written into *folder* when it is to be kept. Raises SoundFileError."""
        if not self.hearing.keeping:
            return []
        from audio.whole_file import write_pieces

        path = folder / "take.wav"
        write_pieces(
            path, self.hearing.kept(), self._where.axis.delay.rate_hz, channel_count=self._channel_count, bits=24
        )
        return [str(path)]

    @property
    def cut_off(self) -> bool:
        """Whether the sound is gone."""
        return not self._link.alive

    def watch_for_two(self) -> None:
        """Where two sing at once nobody is judged; to be asked before the first record, of one microphone."""
        self.hearing.overheard = Overheard()

    @property
    def stopped(self) -> bool:
        """Whether it ended before the music did."""
        return self._stopped or not self._link.alive

    def stop(self) -> None:
        """End with what was heard so far."""
        self._stopped = True

    @property
    def still_phase(self) -> str:
        """What a screen calls it while music time waits, or is about to."""
        called = "count-in" if self._following is None else self._following.still
        if self._player.paused and called != "waiting":
            return "pause"
        return called if self._player.stands_still(self._link.write_until()) else "singing"

    def pause(self) -> None:
        """Wait from the next beat on; what is heard until then is judged."""
        frame = self._player.pause()
        if frame is not None:
            self._paused_at = frame + self._where.axis.delay.frames
            self.hearing.pause(self._paused_at)

    def resume(self) -> None:
        """Count a bar and go on."""
        frame = self._player.resume()
        if frame is not None:
            before = round(RESUME_BEFORE_SECONDS * self._where.axis.delay.rate_hz)
            if self._paused_at is not None:
                self.hearing.resume(max(self._paused_at, frame + self._where.axis.delay.frames - before))
                self._paused_at = None
            if self._following is not None:
                self._following.go_on(frame, self._player.quarters(frame) or Fraction(0))

    def records(self) -> Iterator[Heard]:
        """Everything heard, in time order, until it is over."""
        for record in self._as_they_come():
            if self.hearing.overheard is not None:
                self.hearing.overheard.records.append(record)
            yield record
        if self.hearing.overheard is not None:
            yield from self.hearing.overheard.two_voices(
                self._player.stems.score,
                self._player.stems.line_index,
                settings=self._where.settings,
                first=self._where.anchor,
                others=self.hearing.others,
            )

    def _as_they_come(self) -> Iterator[Heard]:
        self._player.write(self._link)
        while True:
            yield from self._news()
            if self.over:
                break
            self._between()
            self._player.write(self._link)
        yield from self.hearing.flush()

    def _news(self) -> Iterator[Heard]:
        yield from self._doubts()
        # a waiting point and the one at which it ends are told together: a map that only waits reaches no further beat
        for point in self._player.points():
            anchor = self._anchored(point)
            if point.quarters_per_minute == 0:
                self._held_back.append(anchor)
            elif anchor != self._where.anchor:
                yield from self._held_back
                self._held_back = []
                yield anchor
        blocks = self._link.read()
        self._seen(blocks)
        heard = list(self.hearing.feed(blocks))
        if self._following is not None:
            self._following.hear(heard)
        yield from heard

    def _doubts(self) -> Iterator[Gap]:
        """After a flagged block the round trip may have moved: from there on pitch is judged, timing is not."""
        flagged = self._link.flags().last_flagged_frame
        if flagged is None or flagged == self._flagged or flagged < SETTLED_SECONDS * self._link.rate_hz:
            return
        self._flagged = flagged
        # what was flagged before this take began has moved the delay as well
        frame = max(0, self._where.axis.heard(flagged))
        yield Gap(frame, frame + FAR_FRAMES, UNTIMED)

    def _anchored(self, point: Point) -> Anchor:
        return Anchor(self._where.axis.played(point.frame), point.quarters, point.quarters_per_minute)
