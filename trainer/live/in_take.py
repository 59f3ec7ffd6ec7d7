"""What a command does to a take while it runs."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

from trainer.live.keep import Discarded
from trainer.live.keytake import KeyTake
from trainer.live.player import Player
from trainer.live.take import LiveTake

if TYPE_CHECKING:
    from audio.devices import SoundLink


def in_take(command: str, take: LiveTake | KeyTake, player: Player, link: SoundLink) -> str:
    """Stop, pause, go on; "" when that was all, else the command, with which more is to be done. Raises Discarded."""
    counting = (player.quarters(link.write_until()) or Fraction(0)) < 0
    match command:
        case "go" if player.paused:
            take.resume()
        case "go" if not counting:
            take.stop()
        case "go" | "again":
            raise Discarded
        case "note" if counting:
            raise Discarded
        case "pause" if player.paused:
            take.resume()
        case "pause":
            take.pause()
        case "quit":
            take.stop()
            return command
        case _:
            return command
    return ""
