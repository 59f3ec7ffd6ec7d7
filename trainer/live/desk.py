"""How the voices stand in the ears: who is muted, who is louder, how much of the own line is given, clicks, and which ear.

One frozen record; every change is a new one, and the player moves its faders there.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TypeVar

from audio.errors import SettingError
from audio.units import db_to_gain
from trainer.live.mixing import SILENT, Channel, Gain

T = TypeVar("T")

GUIDES = ("full", "entries", "off")
CLICKS = ("on", "off", "silent")
EARS = ("both", "left", "right")
LOUDER_DB = 6.0
"""How much nearer the neighbour stands; a singer likes the own voice about 6 dB over the others (Ternström 1999, from memory), so a
neighbour that much up is as loud as oneself."""


@dataclass(frozen=True, slots=True)
class Desk:
    """What is heard of each channel.

    Parameters
    ----------
    own : int
        The singer's line.
    guide : str
        "full" sounds the own line along, "entries" the first beat of each entry, "off" nothing of it.
    click : str
        "on" clicks all through, "off" only while bars are counted in, "silent" never: the pulse is on the screen alone.
    ear : str
        "both", "left" or "right": everything in that ear.
    louder : int or None
        A line that stands 6 dB above the others.
    muted : frozenset of int
        Lines that are not heard.
    sounding : str
        "on", or "silent": nothing leaves at all.
    keys : str
        "on" sounds the keys that are pressed, "off" leaves that to the keyboard.
    drone : str
        "on" sounds the final of the mode all through.
    """

    own: int
    guide: str = "off"
    click: str = "off"
    ear: str = "both"
    louder: int | None = None
    muted: frozenset[int] = frozenset()
    sounding: str = "on"
    keys: str = "on"
    drone: str = "off"

    def __post_init__(self) -> None:
        """Refuse words that nobody knows. Raises SettingError."""
        for option, value, allowed in (
            ("--guide", self.guide, GUIDES),
            ("--click", self.click, CLICKS),
            ("--ear", self.ear, EARS),
        ):
            if value not in allowed:
                raise SettingError(f"{value!r} is not one of {', '.join(allowed)}", option, "choose one of them")

    def gain(self, channel: Channel) -> Gain:
        """Where a channel's fader stands."""
        if self.sounding == "silent" or not self._heard(channel):
            return SILENT
        factor = db_to_gain(LOUDER_DB) if channel == self.louder else 1.0
        return Gain(0.0 if self.ear == "right" else factor, 0.0 if self.ear == "left" else factor)

    def _heard(self, channel: Channel) -> bool:
        match channel:
            case int():
                return self.guide == "full" if channel == self.own else channel not in self.muted
            case "entries":
                return self.guide == "entries"
            case "count":
                return self.click != "silent"
            case "click":
                return self.click == "on"
            case "keys":
                return self.keys == "on"
            case "drone":
                return self.drone == "on"
            case _:
                return True

    def with_next_guide(self) -> Desk:
        """One step less of the own line, and from nothing back to all of it."""
        return replace(self, guide=_after(GUIDES, self.guide))

    def with_next_click(self) -> Desk:
        """On, only counted in, silent, and round."""
        return replace(self, click=_after(CLICKS, self.click))

    def with_own_alone(self, lines: int) -> Desk:
        """The own line and nothing else."""
        return replace(self, guide="full", muted=frozenset(range(lines)) - {self.own})

    def with_all_others(self) -> Desk:
        """Every other voice, nothing of the own line."""
        return replace(self, guide="off", muted=frozenset())

    def with_everybody(self) -> Desk:
        """Every voice and the own line too."""
        return replace(self, guide="full", muted=frozenset())

    def with_next_neighbour(self, lines: int) -> Desk:
        """One other voice louder after another, top first, then none."""
        others: list[int | None] = [line for line in range(lines) if line != self.own]
        return replace(self, louder=_after((None, *others), self.louder))

    def with_next_drone(self) -> Desk:
        """The drone on, and off again."""
        return replace(self, drone=_after(("off", "on"), self.drone))

    def with_next_muted(self, lines: int) -> Desk:
        """One other voice muted after another, top first, then none."""
        others = [line for line in range(lines) if line != self.own]
        now = next(iter(sorted(self.muted)), None)
        place = others.index(now) + 1 if now in others else 0
        return replace(self, muted=frozenset(others[place : place + 1]))


def _after(words: tuple[T, ...], word: T) -> T:
    return words[(words.index(word) + 1) % len(words)]
