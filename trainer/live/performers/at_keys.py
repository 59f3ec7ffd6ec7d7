"""A hand at keys: what is pressed is judged, and no microphone is heard."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

from trainer.live.hand import Hand, LinkClock, NumberRow
from trainer.live.keytake import KeyTake
from trainer.live.player import Player
from trainer.live.take import Laid, LiveTake
from trainer.practice.take import Performance

if TYPE_CHECKING:
    from audio.block import Block
    from audio.devices import SoundLink

KEY_LOOK_SECONDS = 0.003
"""Between two looks at the keys: what is pressed is to be heard within 20 ms."""


class AtKeys:
    """A ``Performer``.

    Parameters
    ----------
    link : SoundLink
    hand : Hand
        Where keys come from.
    clock : LinkClock
        Fed with the link's blocks.
    """

    source, look_seconds = "keyed", KEY_LOOK_SECONDS
    parts: tuple[int, ...] = ()

    def __init__(self, link: SoundLink, hand: Hand, clock: LinkClock) -> None:
        self._link, self._hand, self._clock = link, hand, clock

    @property
    def trouble(self) -> str:
        """As ``Performer.trouble``: the keys are gone."""
        return self._hand.trouble

    def take(self, player: Player, where: Laid, between: Callable[[], None], keep_sound: str) -> KeyTake:
        """As ``Performer.take``; keys have no sound of their own."""
        return KeyTake(self._link, player, where, between, self._hand, self._clock)

    def pass_by(self, blocks: list[Block], player: Player) -> None:
        """As ``Performer.pass_by``: a key that is pressed sounds."""
        self._clock.feed(blocks)
        self._hand.moved(player)

    def over(self, take: LiveTake | KeyTake, performance: Performance) -> Performance:
        """As ``Performer.over``: nothing."""
        return performance

    def settles(self, command: str) -> bool:
        """As ``Performer.settles``: a number typed for the number row."""
        if isinstance(self._hand, NumberRow) and command.isdecimal():
            self._hand.type(int(command))
            return True
        return False

    def shown(self) -> Mapping[str, object]:
        """As ``Performer.shown``."""
        return {"warning": self._hand.trouble, "down": self._hand.down, "source": self.source}
