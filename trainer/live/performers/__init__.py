"""Who performs in a session: one singer, several at microphones of their own, or a hand at keys. A session asks nothing else of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Protocol

from trainer.live.keytake import KeyTake
from trainer.live.player import Player
from trainer.live.take import Laid, LiveTake
from trainer.practice.take import Performance

if TYPE_CHECKING:
    from audio.block import Block

LOOK_SECONDS = 0.02
"""Between two looks where sound is heard."""


class Performer(Protocol):
    """Whoever performs on one open link."""

    source: str
    """"sung" or "keyed"."""

    parts: tuple[int, ...]
    """The lines that are performed side by side, as ``Heard.line`` counts them; empty for one who performs the session's own line."""

    look_seconds: float
    """How long the machine may rest between two looks."""

    @property
    def trouble(self) -> str:
        """Why nothing can be performed any more although the link lives, "" while it can."""
        ...

    def take(self, player: Player, where: Laid, between: Callable[[], None], keep_sound: str) -> LiveTake | KeyTake:
        """A take that the player has begun; its sound is kept where *keep_sound* says so."""
        ...

    def pass_by(self, blocks: list[Block], player: Player) -> None:
        """What came between two takes."""
        ...

    def over(self, take: LiveTake | KeyTake, performance: Performance) -> Performance:
        """A take is over; its verdicts, with what is to be said of how it was heard."""
        ...

    def settles(self, command: str) -> bool:
        """Whether a command needs nothing more: it was the performer's own, or is nothing for this performer."""
        ...

    def shown(self) -> Mapping[str, object]:
        """What a screen is told of them, fields of ``State``."""
        ...
