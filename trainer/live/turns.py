"""Turns, for a room without headphones: some bars are heard, then the same bars are sung while nothing sounds but the count.

So the microphone hears the singer alone, and every bar is sung. What is judged are the sung bars, as takes of their own.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from trainer.live.choices import Choices
from trainer.live.courses import AGAIN, ASK, Steps, Turn
from trainer.live.desk import Desk
from trainer.practice.take import Performance
from trainer.reports.wording import begun
from trainer.score.model import Score
from trainer.score.time import Bars

if TYPE_CHECKING:
    from audio.devices import SoundLink
    from trainer.live.player import Player

USUAL_BARS = 4
MOST_BARS = 16


def stretches(score: Score, bars: tuple[int, int] | None, length: int) -> tuple[tuple[int, int], ...]:
    """The bars asked for (None: all) in stretches of *length*; a single one that is left over goes with those before it."""
    there = [bar.number for bar in score.bars().bars]
    first, last = bars or (there[0], there[-1])
    starts = list(range(first, last + 1, length))
    if len(starts) > 1 and length > 1 and starts[-1] == last:
        starts.pop()
    ends = [start - 1 for start in starts[1:]] + [last]
    return tuple(zip(starts, ends, strict=True))


class TurnsCourse(Steps):
    """One stretch after another, each heard and then sung.

    Parameters
    ----------
    stretches : sequence of (int, int)
    line_count : int
    bars : Bars
        Of the whole score, by which the stretches are called.
    """

    def __init__(self, stretches: Sequence[tuple[int, int]], line_count: int, bars: Bars) -> None:
        self.stretches, self._bars = tuple(stretches), bars
        self.at = 0
        self._lines = frozenset(range(line_count))
        self._sung: dict[int, Performance] = {}

    def begin(self, choices: Choices) -> Turn:
        """The first stretch."""
        return Turn(self._stood(choices), "Listen, then sing the same bars.", AGAIN)

    def after(self, performance: Performance, choices: Choices) -> Turn:
        """The next stretch; after the last, and where nobody was heard, it is waited for what is wanted."""
        take = performance.takes[0]
        if take.status == "nothing heard":
            return Turn(choices, "Nobody is heard: heldline soundcheck looks at the microphone.", ASK)
        self._sung[self.at] = performance
        if take.status == "incomplete":
            return Turn(choices, "", ASK)
        if self.at + 1 < len(self.stretches):
            self.at += 1
            return Turn(self._stood(choices), "", AGAIN)
        self.at = 0
        return Turn(self._stood(choices), self._all(), ASK)

    def jump(self, way: int, choices: Choices) -> Turn:
        """Another stretch, whenever it is wanted."""
        self.at = min(max(self.at + way, 0), len(self.stretches) - 1)
        return Turn(self._stood(choices), f"{begun(self._bars.named_span(*self.stretches[self.at]))}.", ASK)

    def _stood(self, choices: Choices) -> Choices:
        desk = replace(choices.desk, muted=self._lines - {choices.desk.own}, guide="off", click="off")
        return replace(choices, bars=self.stretches[self.at], desk=desk, heard_first="yes")

    def _all(self) -> str:
        counts = [one.takes[0].result() for one in self._sung.values()]
        held, judged = sum(one["held"] for one in counts), sum(one["judged"] for one in counts)
        return f"In turns: {held} of {judged} notes held. With headphones the others sound while you sing."


def hear_first(player: Player, link: SoundLink, desk: Desk, count_in_bars: int, look: Callable[..., str]) -> None:
    """Sound the bars, every voice and the own one with them, before they are sung; any start command ends it.

    *look* is the session's: given the phase and what is to be shown of it, it answers "go" when a start is asked for.
    """
    player.stand(replace(desk, muted=frozenset(), guide="full"))
    end = player.begin(count_in_bars=count_in_bars).end_frame
    while link.write_until() < end:
        if look("listening", quarters=player.quarters(link.write_until())) == "go":
            break
    player.hush()
    player.stand(desk)
