"""Exercise after exercise through all cells: correct by ``check`` and by the second checker, in time, and no two alike.

An attempt composes one exercise and fails by a forbidden finding of either checker, by music that an earlier attempt of this run had,
or by a wish that was not granted. The rule set, the moving voice and the seed go round while the cells do. 416 attempts are one round.

    python tests/campaign/compose.py FILE ...

sums up result files, such as those of several runs side by side: how many to a cell, all distinct, nothing failed, seconds.
"""

from __future__ import annotations

import json
import sys
import time
from collections import Counter, defaultdict
from pathlib import Path
from typing import Any

sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1] / "support")]

from cells import CELLS, wish_of  # noqa: E402 - the path is made above
from second_opinion import second_opinion  # noqa: E402

from trainer.compose import WishError, compose  # noqa: E402
from trainer.rules.checking import check  # noqa: E402
from trainer.rules.ruleset import shipped  # noqa: E402

MEDIAN_S, P95_S, WORST_S, COMBINED_MEDIAN_S = 0.3, 1.5, 5.0, 2.0
"""CPU seconds; the last for combined species in four parts."""

STEP = 157
"""Cells are visited in strides, so that a short run sees all kinds; 157 and 416 share no factor."""


class Campaign:
    """One exercise an attempt."""

    def __init__(self, scratch: Path) -> None:
        self.count, self.unsolved = 0, 0
        self.seen: dict[str, int] = {}
        self.seconds: dict[str, list[float]] = defaultdict(list)

    def attempt(self, seed: int) -> dict[str, Any]:
        """Fails where an exercise is not correct, or not new."""
        cell = CELLS[seed * STEP % len(CELLS)]
        wish = wish_of(cell, seed)
        told: dict[str, Any] = {"cell": "-".join(map(str, cell)), "line": wish.line_voice, "rules": str(wish.rules)}
        began = time.process_time()
        try:
            made = compose(wish)
        except WishError as err:
            self.unsolved += 1
            told["cpu_s"] = round(time.process_time() - began, 3)
            return {**told, "failure": f"{told['cell']} not solved after {told['cpu_s']} s: {err.do}"}
        told["cpu_s"] = round(time.process_time() - began, 3)
        kind = "combined, 4 parts" if cell[:2] == (4, "combined") else "all others"
        self.seconds[kind].append(told["cpu_s"])
        problems = [
            one.rule for one in check(made.score, shipped(str(wish.rules))).findings if one.strictness == "forbidden"
        ]
        problems += [f"second: {one.rule} in bar {one.bar}" for one in second_opinion(made.score)]
        told["digest"] = made.score.digest()
        before = self.seen.setdefault(told["digest"], seed)
        problems += [f"the same as seed {before}"] if before != seed else []
        return {**told, "failure": "; ".join(problems)} if problems else told

    def summary(self) -> tuple[list[str], bool]:
        """Share solved and seconds, and whether they are as wanted."""
        lines = [f"{self.count - self.unsolved} of {self.count} solved, {len(self.seen)} different"]
        good = self.unsolved * 100 <= self.count
        for kind, seconds in sorted(self.seconds.items()):
            row = sorted(seconds)
            median, p95, worst = row[len(row) // 2], row[min(len(row) - 1, len(row) * 95 // 100)], row[-1]
            lines.append(f"{kind}: median {median:.2f}, p95 {p95:.2f}, worst {worst:.2f} s of one core")
            wanted = COMBINED_MEDIAN_S if kind.startswith("combined") else MEDIAN_S
            good = good and median <= wanted and worst <= WORST_S and (p95 <= P95_S or kind.startswith("combined"))
        return lines, good


def main() -> int:
    """Several files as one run."""
    whole, cells, failed = Campaign(Path()), Counter[str](), list[str]()
    for place in sys.argv[1:]:
        for line in Path(place).read_text(encoding="utf-8").splitlines():
            row = json.loads(line)
            if "seed" not in row:
                continue
            whole.count += 1
            cells[row["cell"]] += 1
            if "digest" not in row:
                whole.unsolved += 1
            else:
                whole.seconds["combined, 4 parts" if row["cell"].startswith("4-combined") else "all others"].append(
                    row["cpu_s"]
                )
                if whole.seen.setdefault(row["digest"], row["seed"]) != row["seed"]:
                    failed.append(f"seed {row['seed']}: the same as seed {whole.seen[row['digest']]}")
            failed += [f"seed {row['seed']}: {row['failure']}"] if "failure" in row else []
    lines, good = whole.summary()
    print("\n".join([*lines, f"{len(cells)} kinds of {len(CELLS)}, {min(cells.values(), default=0)} or more of each"]))
    print("\n".join(f"failed: {said}" for said in failed) or "none failed")
    return 0 if good and not failed and len(cells) == len(CELLS) else 1


if __name__ == "__main__":
    sys.exit(main())
