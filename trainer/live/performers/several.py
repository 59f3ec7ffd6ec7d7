"""Several singers, one to a part, each at a microphone of their own, be they one device's or several."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from trainer.live.keytake import KeyTake
from trainer.live.performers import LOOK_SECONDS
from trainer.live.player import Player
from trainer.live.take import Laid, LiveTake
from trainer.live.watch import MicrophoneWatch
from trainer.practice.take import Performance
from trainer.reports.wording import bar_words

if TYPE_CHECKING:
    from audio.block import Block
    from audio.devices import SoundLink
    from audio.devices.side_by_side import Vanished

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
    vanished : callable
        Gives the microphones that are silent for good.
    """

    source, look_seconds, trouble = "sung", LOOK_SECONDS, ""

    def __init__(
        self,
        link: SoundLink,
        parts: Sequence[int],
        channels: Sequence[str],
        names: Sequence[str],
        vanished: Callable[[], Mapping[str, Vanished]] = dict,
    ) -> None:
        self._link, self.parts, self._channels, self._names = link, tuple(parts), tuple(channels), tuple(names)
        self._watches = [MicrophoneWatch(channel) for channel in channels]
        self._vanished = vanished
        self._take: LiveTake | None = None
        self._place: Callable[[int], str] = str

    def take(self, player: Player, where: Laid, between: Callable[[], None], keep_sound: str) -> LiveTake:
        """As ``Performer.take``."""
        take = self._take = LiveTake(self._link, player, where, between, self._seen, channels=self._channels)
        take.hearing.keeping = keep_sound == "kept"

        def place(frame: int) -> str:
            quarters = player.quarters(frame - where.axis.delay.frames)
            if quarters is None or quarters < 0:
                return "before bar 1"
            return f"in {bar_words(player.stems.score.bars().place(quarters))}"

        self._place = place
        return take

    def pass_by(self, blocks: list[Block], player: Player) -> None:
        """As ``Performer.pass_by``."""
        self._seen(blocks)

    def over(self, take: LiveTake | KeyTake, performance: Performance) -> Performance:
        """As ``Performer.over``: of the other singers in each microphone, and of microphones that are gone."""
        self._take = None
        if isinstance(take, LiveTake):
            performance = performance.saying(take.hearing.said())
        gone = self._vanished()
        said = [
            f"Its microphone ({gone[channel].device}) vanished {self._place(gone[channel].frame)}: nothing was heard from there."
            if channel in gone
            else ""
            for channel in self._channels
        ]
        return performance.remarking(said)

    def settles(self, command: str) -> bool:
        """As ``Performer.settles``: whatever is for one singer."""
        return command not in COMMANDS

    def shown(self) -> Mapping[str, object]:
        """As ``Performer.shown``: the loudest microphone, and the first with which something is wrong."""
        gone = self._vanished()
        wrong = [
            f"{name}: the microphone ({gone[channel].device}) has vanished, so nothing is heard; the others go on."
            for name, channel in zip(self._names, self._channels, strict=True)
            if channel in gone
        ]
        pairs = zip(self._names, self._watches, self._channels, strict=True)
        wrong += [f"{name}: {watch.notice}" for name, watch, channel in pairs if watch.notice and channel not in gone]
        return {
            "lines": self.parts,
            "gone": tuple(line for line, channel in zip(self.parts, self._channels, strict=True) if channel in gone),
            "level_dbfs": max(watch.level_dbfs for watch in self._watches),
            "warning": "".join(wrong[:1]),
        }

    def _seen(self, blocks: list[Block]) -> None:
        for watch in self._watches:
            watch.feed(blocks)
        if self._take is not None:
            for channel, vanished in self._vanished().items():
                self._take.hearing.ends(channel, vanished.frame)
