"""Up after two clean takes running, back after two poor ones, free to jump, and no more than five takes on one rung a day.

Two clean takes and not ten: what is learnt beyond that helps for a week and is mostly gone later (Rohrer and others 2005). Practice that
is right most of the time is what is kept (Duke, Simmons and Cash 2009), so a rung that stays hard is left, not repeated. The numbers are
our own.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from trainer.ladder.rungs import Rung
from trainer.practice.beside import Beside

CLEAN_UP, POOR_BACK = 2, 2
MOST_TAKES = 5
HELD_TENTHS = 7
"""Two clean takes after several others lead up and may be luck: a rung is held where so many of ten of all its takes were clean."""


@dataclass(frozen=True, slots=True)
class Climb:
    """Where somebody stands on a ladder.

    Parameters
    ----------
    count : int
        How many rungs there are.
    at : int
        The present one, from 0.
    marks : tuple of str
        Of the takes on it since it was come to: "clean", "poor", "between" and so on.
    held : int
        The highest rung that was held for sure once, -1 for none.
    counts : tuple of (int, int)
        Of each rung the clean takes and all takes on it, on whatever day.
    state : str
        "climbing"; "top" once the highest is passed; "enough" once the present one was tried five times in vain.
    """

    count: int
    at: int = 0
    marks: tuple[str, ...] = ()
    held: int = -1
    state: str = "climbing"
    counts: tuple[tuple[int, int], ...] = ()

    def after(self, mark: str) -> Climb:
        """After a take on the present rung; one in which nothing was heard, or that was broken off, tells nothing."""
        if mark in ("nothing", "unfinished"):
            return self
        marks = (*self.marks, mark)
        counts = list(self.counts or ((0, 0),) * self.count)
        clean, taken = counts[self.at]
        counts[self.at] = clean + (mark == "clean"), taken + 1
        return replace(self, counts=tuple(counts))._stepped(marks)

    def _stepped(self, marks: tuple[str, ...]) -> Climb:
        if len(marks) >= CLEAN_UP and all(one == "clean" for one in marks[-CLEAN_UP:]):
            clean, taken = self.counts[self.at]
            sure = clean * 10 >= taken * HELD_TENTHS
            held = max(self.held, self.at) if sure else self.held
            if self.at + 1 < self.count:
                return replace(self, at=self.at + 1, marks=(), held=held, state="climbing")
            if sure:
                return replace(self, marks=marks, held=held, state="top")
        if self.at and len(marks) >= POOR_BACK and all(one == "poor" for one in marks[-POOR_BACK:]):
            return replace(self, at=self.at - 1, marks=(), state="climbing")
        return replace(self, marks=marks, state="enough" if len(marks) >= MOST_TAKES else "climbing")

    def next_day(self) -> Climb:
        """The same rung with five takes to come."""
        return replace(self, marks=(), state="climbing")

    def jumped(self, rungs: int) -> Climb:
        """So many rungs up, or down when negative, as far as there are any."""
        at = min(max(self.at + rungs, 0), self.count - 1)
        return self if at == self.at else replace(self, at=at, marks=(), state="climbing")


def resumed(rungs: Sequence[Rung], taken: Iterable[tuple[Beside, str]]) -> Climb:
    """Where somebody left the ladder, from what was around them in earlier takes and how these were; takes off the ladder tell nothing."""
    climb = Climb(len(rungs))
    for beside, mark in taken:
        at = next((k for k, rung in enumerate(rungs) if _is_of(beside, rung)), None)
        if at is not None:
            climb = climb.jumped(at - climb.at).after(mark)
    return climb.next_day()


def _is_of(beside: Beside, rung: Rung) -> bool:
    return beside == Beside(tuple(sorted(rung.sounding)), rung.guide, rung.drone, rung.shown, rung.silent_bars)
