"""How often a planted fault is found and a clean note called wrong: simulated singers of all voices through the public command.

    .venv/bin/python tests/bench/verdicts/run.py [--short | --takes N] [--seed N] [--misses]

Every take comes from its seed (see ``planted_takes``). ``--short`` stops after 45 s, says how many takes that were, and fails (exit 1)
when fewer than 90 of 100 faults are found or more than 3 of 100 clean notes are called wrong: a tripwire, not the figure to quote.
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

SHORT_S = 45.0
FIRST_SEED = 10_000
LEAST_FOUND, MOST_CALLED = 0.90, 0.03


def main() -> int:
    """Exit status."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--short", action="store_true")
    parser.add_argument("--takes", type=int, default=200)
    parser.add_argument("--seed", type=int, default=FIRST_SEED)
    parser.add_argument("--misses", action="store_true", help="name every miss and false call")
    args = parser.parse_args()
    from planted_takes import judged_take, plan_take
    from tallies import Tally

    tally, began = Tally(), time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        os.environ["HELDLINE_HOME"] = folder
        for seed in range(args.seed, args.seed + args.takes):
            planted = plan_take(seed)
            tally.add(planted, *judged_take(planted, Path(folder)))
            if args.short and time.monotonic() - began > SHORT_S:
                break
    for line in tally.lines() + (["", *tally.misses] if args.misses else []):
        print(line)
    found, planted_count = sum(tally.found.values()), sum(tally.planted.values())
    good = found >= LEAST_FOUND * planted_count and tally.clean_called <= MOST_CALLED * tally.clean_notes
    return 0 if good or not args.short else 1


if __name__ == "__main__":
    sys.exit(main())
