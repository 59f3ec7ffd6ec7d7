"""One singer at one microphone; our own loudspeaker is taken away from it where soundcheck has learnt how."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from trainer.live.keytake import KeyTake
from trainer.live.own_sound import OwnSound
from trainer.live.performers import LOOK_SECONDS
from trainer.live.player import Player
from trainer.live.take import Laid, LiveTake
from trainer.live.watch import MicrophoneWatch
from trainer.practice.take import Performance

if TYPE_CHECKING:
    from audio.block import Block
    from audio.devices import SoundLink


class OneSinger:
    """A ``Performer``. Parameters as of ``LiveTake``."""

    source, look_seconds, trouble = "sung", LOOK_SECONDS, ""
    parts: tuple[int, ...] = ()

    def __init__(self, link: SoundLink, own: OwnSound | None = None) -> None:
        self._link, self._own, self._watch = link, own, MicrophoneWatch()

    def take(self, player: Player, where: Laid, between: Callable[[], None], keep_sound: str) -> LiveTake:
        """As ``Performer.take``."""
        take = LiveTake(self._link, player, where, between, self._watch.feed, self._own)
        take.hearing.keeping = keep_sound == "kept"
        if self._own is not None and player.begun is not None:
            self._own.take_begins(player.begun.music_frame + where.axis.delay.frames, self._link.rate_hz)
        return take

    def pass_by(self, blocks: list[Block], player: Player) -> None:
        """As ``Performer.pass_by``: our own sound is learnt from."""
        self._watch.feed(blocks)
        if self._own is not None:
            self._own.pass_by(blocks)

    def over(self, take: LiveTake | KeyTake, performance: Performance) -> Performance:
        """As ``Performer.over``: of our own sound."""
        if self._own is None:
            return performance
        self._own.take_is_over()
        return performance.saying([self._own.words()])

    def settles(self, command: str) -> bool:
        """As ``Performer.settles``: nothing."""
        return False

    def shown(self) -> Mapping[str, object]:
        """As ``Performer.shown``."""
        return {"level_dbfs": self._watch.level_dbfs, "warning": self._watch.notice}
