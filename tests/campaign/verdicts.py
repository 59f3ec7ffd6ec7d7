"""Planted faults in random takes, for as long as one likes: what is found, what is called wrongly."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from planted_takes import judged_take, plan_take
from tallies import Tally

LEAST_FOUND, MOST_CALLED = 0.90, 0.03


class Campaign:
    """One take an attempt; an attempt fails only by a crash, the measure is over the whole run."""

    def __init__(self, scratch: Path) -> None:
        self.scratch, self.tally, self.count = scratch, Tally(), 0
        os.environ["HELDLINE_HOME"] = str(scratch / "home")

    def attempt(self, seed: int) -> dict[str, Any]:
        """What became of this take's faults and clean notes."""
        planted = plan_take(seed)
        before = len(self.tally.misses)
        self.tally.add(planted, *judged_take(planted, self.scratch))
        return {"piece": planted.piece.title, "voice": planted.voice, "condition": planted.condition,
                "planted": len(planted.faults), "misses": self.tally.misses[before:]}  # fmt: skip

    def summary(self) -> tuple[list[str], bool]:
        """The table, and whether it is good enough."""
        found, planted = sum(self.tally.found.values()), sum(self.tally.planted.values())
        good = found >= LEAST_FOUND * planted and self.tally.clean_called <= MOST_CALLED * self.tally.clean_notes
        return self.tally.lines(), good
