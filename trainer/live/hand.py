"""Keys while they are pressed: where each lies on the link's axis, its soft tone, and the number row for those without a keyboard.

Where our own tone answers a key, a key lies where its tone begins: the player hears it and the voices through the same output, so the
output's own delay falls out. Where the keyboard sounds by itself the output's delay is only reported, and timing is not judged.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from statistics import median
from typing import TYPE_CHECKING, Protocol

from audio.block import Block
from trainer.live.player import Player
from trainer.score.model import Score

if TYPE_CHECKING:
    from audio.devices.keys_link import KeyMoved, KeysLink
    from audio.devices.link import SoundLink


REMEMBERED = 50
"""Stamps of blocks: a quarter of a second. More would hide that a slow server's frames fall behind the clock."""


@dataclass(frozen=True, slots=True)
class Struck:
    """A key that went down (velocity above 0) or came up, on the played axis."""

    frame: int
    midi: int
    velocity: int


class Hand(Protocol):
    """Whatever keys come from."""

    @property
    def alive(self) -> bool: ...  # noqa: D102
    @property
    def trouble(self) -> str: ...  # noqa: D102
    @property
    def down(self) -> tuple[int, ...]:
        """The keys that are down now."""
        ...

    def moved(self, player: Player) -> list[Struck]:
        """What moved since the last call, each sounded if it is to be."""
        ...


class LinkClock:
    """From the moment at which a key arrived to the link's frame of that moment.

    A callback is told late but never early, so of many the earliest is right (two clocks drift apart by less than 0.1 ms a second).
    """

    def __init__(self, rate_hz: int, block_frames: int) -> None:
        self._rate_hz, self._block_frames = rate_hz, block_frames
        self._offsets: list[float] = []

    def feed(self, blocks: Iterable[Block]) -> None:
        """Look at the stamps of these blocks."""
        for block in blocks:
            if block.host_seconds is not None:
                self._offsets.append(block.host_seconds - (block.start_frame + self._block_frames) / self._rate_hz)
        del self._offsets[:-REMEMBERED]

    def frame(self, at_seconds: float) -> int | None:
        """The frame that was being taken then; None before any block was seen."""
        if not self._offsets:
            return None
        return round((at_seconds - min(self._offsets)) * self._rate_hz)


class MidiHand:
    """A MIDI keyboard.

    Parameters
    ----------
    keys : KeysLink
    link : SoundLink
        On which the answer sounds.
    clock : LinkClock
        Fed by whoever reads the link.
    latency_frames : int
        Output delay as reported, for a keyboard that sounds by itself.
    """

    def __init__(self, keys: KeysLink, link: SoundLink, clock: LinkClock, *, latency_frames: int) -> None:
        self._keys, self._link, self._clock, self._latency = keys, link, clock, latency_frames
        self._down: dict[int, int] = {}
        self._answers: list[float] = []

    @property
    def alive(self) -> bool:
        """As ``Hand.alive``."""
        return self._keys.alive

    @property
    def trouble(self) -> str:
        """Why not."""
        return "" if self._keys.alive else f"{self._keys.name} was unplugged"

    @property
    def down(self) -> tuple[int, ...]:
        """As ``Hand.down``."""
        return tuple(sorted(self._down))

    @property
    def answer_ms(self) -> float | None:
        """From a key's arrival to the frame that carries its tone, the middle of all so far; None before any."""
        return round(median(self._answers), 1) if self._answers else None

    def moved(self, player: Player) -> list[Struck]:
        """As ``Hand.moved``."""
        found = []
        for moved in self._keys.read():
            struck = self._struck(moved, player)
            if struck is not None:
                found.append(struck)
        return found

    def _struck(self, moved: KeyMoved, player: Player) -> Struck | None:
        if not moved.down and moved.midi not in self._down:
            return None
        if moved.down:
            self._down[moved.midi] = moved.velocity
        else:
            del self._down[moved.midi]
        arrived = self._clock.frame(moved.at_seconds)
        if player.desk.keys == "on":
            frame = (
                player.key_down(self._link, moved.midi, moved.velocity)
                if moved.down
                else player.key_up(self._link, moved.midi)
            )
            if arrived is not None and moved.down:
                self._answers.append((frame - arrived) * 1000 / self._link.rate_hz)
        else:
            frame = (self._link.write_until() if arrived is None else arrived) - self._latency
        return Struck(frame, moved.midi, moved.velocity)


class NumberRow:
    """The digits of the typing keyboard as degrees: when is judged, and which degree, never how long.

    A number stands for that degree as the line has it: in the octave, and with the sign, of the note that is due.

    Parameters
    ----------
    score, line_index
    link : SoundLink
    degree_of : callable
        From a MIDI number to the degree (1 to 7) that it has in this score's mode.
    """

    alive, trouble = True, ""

    def __init__(self, score: Score, line_index: int, link: SoundLink, degree_of: Callable[[int], int]) -> None:
        self._line = score.lines[line_index]
        self._link, self._degree_of = link, degree_of
        self._typed: list[int] = []
        self._down: int | None = None

    @property
    def down(self) -> tuple[int, ...]:
        """As ``Hand.down``."""
        return () if self._down is None else (self._down,)

    def type(self, degree: int) -> None:
        """A number was typed."""
        self._typed.append(degree)

    def moved(self, player: Player) -> list[Struck]:
        """As ``Hand.moved``; a tone sounds until the next number."""
        typed, self._typed = self._typed, []
        found = []
        for degree in typed:
            midi = self._midi(degree, player)
            if self._down is not None:
                found.append(Struck(player.key_up(self._link, self._down), self._down, 0))
            found.append(Struck(player.key_down(self._link, midi, 80), midi, 80))
            self._down = midi
        return found

    def _midi(self, degree: int, player: Player) -> int:
        """The pitch of that degree nearest to the note that is due, and that very note where it has the degree."""
        now = player.quarters(self._link.write_until())
        notes = self._line.notes
        due = min(notes, key=lambda n: abs(n.onset_quarters - (now or 0)))
        if self._degree_of(due.pitch.midi) == degree:
            return due.pitch.midi
        known = [n.pitch.midi for n in notes if self._degree_of(n.pitch.midi) == degree]
        near = known or [m for m in range(due.pitch.midi - 6, due.pitch.midi + 7) if self._degree_of(m) == degree]
        return min(near, key=lambda midi: abs(midi - due.pitch.midi), default=due.pitch.midi + 1)
