"""Planted faults in random takes, for as long as one likes; ``tests/bench/verdicts/run.py --results`` pools what many runs wrote.

``--set only="pink noise 10 dB"`` sings the takes of one condition. ``--set notes=400`` sings only takes whose plan has a fault of which
there are fewer notes yet in its condition and voice, and ends when there are so many of each; ``--set earlier=FOLDER`` counts those of the
files there, too. A take is chosen by its plan, never by what became of it.
"""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from planted_sound import judged_take
from planted_takes import CONDITIONS, KINDS, VOICES, Planted, plan_take
from tallies import Row, good_enough, kept_lines, rows_of, table


class Campaign:
    """One take an attempt; an attempt fails only by a crash, the measure is over the whole run."""

    def __init__(self, scratch: Path, only: str = "", notes: str = "0", earlier: str = "") -> None:
        self.scratch, self.count = scratch, 0
        self.rows: list[Row] = []
        self.conditions = tuple(name for name in CONDITIONS if only in ("", name))
        self.notes = int(notes)
        rows = (row for line in kept_lines(Path(earlier)) for row in line.get("rows", ())) if earlier else ()
        self.sung = Counter(map(_cell, rows))
        os.environ["HELDLINE_HOME"] = str(scratch / "home")

    def attempt(self, seed: int) -> dict[str, Any]:
        """What became of this take's faults and right notes; of a take that was not asked for, only that."""
        planted = plan_take(seed)
        if planted.condition not in self.conditions or (self.notes and not any(map(self.wants, _cells(planted)))):
            return {"passed over": planted.condition}
        rows = rows_of(planted, *judged_take(planted, self.scratch))
        self.sung.update(map(_cell, rows))
        self.rows += rows
        return {"piece": planted.piece.title, "rows": rows}

    def wants(self, cell: tuple[str, ...]) -> bool:
        """Whether there are too few notes of this condition, voice and fault yet."""
        return self.sung[cell] < self.notes

    @property
    def whole(self) -> bool:
        """Whether everything that was asked for is sung."""
        cells = ((where, voice, kind) for where in self.conditions for voice in VOICES for kind in KINDS)
        return self.notes > 0 and not any(map(self.wants, cells))

    def summary(self) -> tuple[list[str], bool]:
        """The table, and whether it is good enough."""
        return table(self.rows), good_enough(self.rows)


def _cell(row: Row) -> tuple[str, ...]:
    return row["condition"], row["voice"], row["kind"]


def _cells(planted: Planted) -> Iterator[tuple[str, ...]]:
    return ((planted.condition, planted.voice, kind) for kind in planted.faults.values())
