"""Several singers, one to a part, each at a microphone of their own."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from trainer.live.keytake import KeyTake
from trainer.live.performers import LOOK_SECONDS
from trainer.live.player import Player
from trainer.live.take import Laid, LiveTake
from trainer.live.watch import MicrophoneWatch

if TYPE_CHECKING:
    from audio.block import Block
    from audio.devices import SoundLink

COMMANDS = frozenset(("go", "again", "pause", "click", "help", "more", "quit"))
"""What several singers can ask for; the rest is for one."""


class SeveralSingers:
    """A ``Performer``.

    Parameters
    ----------
    link : SoundLink
    parts : sequence of int
        Who sings.
    channels : sequence of str
        Their microphones, in the same order.
    names : sequence of str
        What they are called, in the same order.
    """

    source, look_seconds, trouble = "sung", LOOK_SECONDS, ""

    def __init__(self, link: SoundLink, parts: Sequence[int], channels: Sequence[str], names: Sequence[str]) -> None:
        self._link, self.parts, self._channels, self._names = link, tuple(parts), tuple(channels), tuple(names)
        self._watches = [MicrophoneWatch(channel) for channel in channels]

    def take(self, player: Player, where: Laid, between: Callable[[], None], keep_sound: str) -> LiveTake:
        """As ``Performer.take``."""
        take = LiveTake(self._link, player, where, between, self._seen, channels=self._channels)
        take.hearing.keeping = keep_sound == "kept"
        return take

    def pass_by(self, blocks: list[Block], player: Player) -> None:
        """As ``Performer.pass_by``."""
        self._seen(blocks)

    def over(self, take: LiveTake | KeyTake) -> list[str]:
        """As ``Performer.over``: of the other singers in each microphone."""
        return take.hearing.said() if isinstance(take, LiveTake) else []

    def settles(self, command: str) -> bool:
        """As ``Performer.settles``: whatever is for one singer."""
        return command not in COMMANDS

    def shown(self) -> Mapping[str, object]:
        """As ``Performer.shown``: the loudest microphone, and the first with which something is wrong."""
        pairs = zip(self._names, self._watches, strict=True)
        wrong = [f"{name}: {watch.notice}" for name, watch in pairs if watch.notice]
        loudest = max(watch.level_dbfs for watch in self._watches)
        return {"lines": self.parts, "level_dbfs": loudest, "warning": "".join(wrong[:1])}

    def _seen(self, blocks: list[Block]) -> None:
        for watch in self._watches:
            watch.feed(blocks)
