"""Planted faults in random takes, for as long as one likes; ``tests/bench/verdicts/run.py --results`` pools what many runs wrote."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

from planted_sound import judged_take
from planted_takes import plan_take
from tallies import Row, good_enough, rows_of, table


class Campaign:
    """One take an attempt; an attempt fails only by a crash, the measure is over the whole run."""

    def __init__(self, scratch: Path) -> None:
        self.scratch, self.count = scratch, 0
        self.rows: list[Row] = []
        os.environ["HELDLINE_HOME"] = str(scratch / "home")

    def attempt(self, seed: int) -> dict[str, Any]:
        """What became of this take's faults and right notes."""
        planted = plan_take(seed)
        rows = rows_of(planted, *judged_take(planted, self.scratch))
        self.rows += rows
        return {"piece": planted.piece.title, "rows": rows}

    def summary(self) -> tuple[list[str], bool]:
        """The table, and whether it is good enough."""
        return table(self.rows), good_enough(self.rows)
