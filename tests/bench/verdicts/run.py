"""How often a planted fault is found and a right note called wrong: simulated singers of all voices through the public command.

    .venv/bin/python tests/bench/verdicts/run.py [--short | --minutes M] [--seed N] [--only CONDITION] [--misses]
    .venv/bin/python tests/bench/verdicts/run.py --results tests/campaign/results

Every take comes from its seed (see ``planted_takes``). Development seeds begin at 10,000; the figures to quote come from the campaign
(``tests/campaign/run.py verdicts``), whose seeds begin at 1,000,000 and whose files ``--results`` pools into one table. ``--short``
stops after 45 s and fails (exit 1) when fewer than 90 of 100 faults are found or more than 2 of 100 right notes are called wrong: a
tripwire, not the figure.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "support")]

SHORT_MINUTES, USUAL_MINUTES = 0.75, 3.0
FIRST_SEED = 10_000


def main() -> int:
    """Exit status."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--short", action="store_true")
    parser.add_argument("--minutes", type=float, default=USUAL_MINUTES)
    parser.add_argument("--seed", type=int, default=FIRST_SEED)
    parser.add_argument(
        "--only",
        metavar="CONDITION",
        help="takes of one condition, by the start of its name; other voices and rooms too",
    )
    parser.add_argument("--misses", action="store_true", help="name every miss and false call")
    parser.add_argument("--results", type=Path, help="pool a campaign's files; nothing is sung")
    args = parser.parse_args()
    from tallies import good_enough, misses, table

    rows = pooled(args.results) if args.results else sung(args)
    for line in table(rows) + (misses(rows) if args.misses else []):
        print(line)
    return 0 if good_enough(rows) or not args.short else 1


def sung(args: argparse.Namespace) -> list[dict[str, object]]:
    """Rows of take after take until the time is over."""
    from other_voices import OTHERS, as_other
    from planted_sound import judged_take
    from planted_takes import CONDITIONS, plan_take
    from tallies import rows_of

    until = time.monotonic() + 60 * (SHORT_MINUTES if args.short else args.minutes)
    rows: list[dict[str, object]] = []
    seed, takes = args.seed, 0
    with tempfile.TemporaryDirectory() as folder:
        os.environ["HELDLINE_HOME"] = folder
        while time.monotonic() < until:
            other = next((name for name in OTHERS if args.only and name.startswith(args.only)), None)
            if other or args.only is None or CONDITIONS[seed % len(CONDITIONS)].startswith(args.only):
                planted = as_other(plan_take(seed), other) if other else plan_take(seed)
                rows += rows_of(planted, *judged_take(planted, Path(folder)))
                takes += 1
            seed += 1
    print(f"{takes} takes, seeds {args.seed} to {seed - 1}")
    return rows


def pooled(results: Path) -> list[dict[str, object]]:
    """Rows of every campaign file in a folder, and on which commits they were made."""
    from tallies import kept_lines

    rows: list[dict[str, object]] = []
    heads: dict[str, int] = {}
    commit = "unknown"
    for line in kept_lines(results):
        commit = line.get("commit", commit)
        if "rows" in line:
            heads[commit] = heads.get(commit, 0) + 1
            rows += line["rows"]
    print(", ".join(f"{takes} takes at {commit}" for commit, takes in heads.items()) or "no takes")
    return rows


if __name__ == "__main__":
    sys.exit(main())
