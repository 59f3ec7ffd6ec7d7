"""Whose turn it is: desks in any order, each once, again when wanted, and passed without a word about it."""

from __future__ import annotations

from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class Turns:
    """Where a round of desks stands.

    Parameters
    ----------
    desks : tuple of str
        Labels, in the order in which they sing when nobody says otherwise.
    sung, passed : frozenset of str
        Those who have sung, and those who would rather not.
    at : int
        From which desk on the next is looked for.
    """

    desks: tuple[str, ...]
    sung: frozenset[str] = frozenset()
    passed: frozenset[str] = frozenset()
    at: int = 0

    @property
    def waiting(self) -> tuple[str, ...]:
        """Those still to sing, the next one first."""
        order = (*self.desks[self.at :], *self.desks[: self.at])
        return tuple(desk for desk in order if desk not in self.sung and desk not in self.passed)

    @property
    def now(self) -> str | None:
        """Whose turn it is; None once everybody has sung or passed."""
        return self.waiting[0] if self.waiting else None

    def after(self, desk: str) -> Turns:
        """Once *desk* has sung."""
        return replace(self, sung=self.sung | {desk}, passed=self.passed - {desk}, at=self._behind(desk))

    def passing(self) -> Turns:
        """Whoever has the turn would rather not."""
        return self if self.now is None else replace(self, passed=self.passed | {self.now}, at=self._behind(self.now))

    def to(self, place: int) -> Turns:
        """The desk in that place, counted from 0, sings next, once more if it has sung; nothing changes where there is none."""
        if not 0 <= place < len(self.desks):
            return self
        desk = self.desks[place]
        return replace(self, at=place, sung=self.sung - {desk}, passed=self.passed - {desk})

    def moved(self, way: int) -> Turns:
        """The next of those who wait (1), or the one before (-1)."""
        if not self.waiting:
            return self
        return replace(self, at=self.desks.index(self.waiting[way % len(self.waiting)]))

    def joined(self, desk: str) -> Turns:
        """One desk more, behind all others."""
        return replace(self, desks=(*self.desks, desk))

    def _behind(self, desk: str) -> int:
        return (self.desks.index(desk) + 1) % len(self.desks)
