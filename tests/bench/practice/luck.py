"""What two clean takes are worth: where a ladder ends for somebody who is clean by chance alone.

    .venv/bin/python tests/bench/practice/luck.py [--ladders N]

No singer, no sound: each take on the three lower rungs is clean, on the others with one probability. A ladder goes on day after day to
the top, or until two days running have brought no other rung held (``tests/support/practising.py``). Right is the highest rung with at
least 70 %.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from pathlib import Path
from random import Random

ROOT = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "support")]

from practising import climbed_by, company, ladder  # noqa: E402 - the path is made above

SURE, POOR_SHARE, ENOUGH = 1.0, 0.1, 0.7
LOWER = 3
UPPER = (1.0, 0.85, 0.75, 0.65, 0.6, 0.5, 0.35, 0.2, 0.0)


def main() -> int:
    """Exit status."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--ladders", type=int, default=1000)
    args = parser.parse_args()
    lower = {company(rung) for rung in ladder("tenor")[:LOWER]}
    for upper in UPPER:
        wanted = 8 if upper >= ENOUGH else LOWER - 1
        ends: Counter[int] = Counter()
        for seed in range(args.ladders):
            chance = Random(seed)

            def take(heard: object, chance: Random = chance, upper: float = upper) -> str:
                share = SURE if heard in lower else upper
                return "clean" if chance.random() < share else "poor" if chance.random() < POOR_SHARE else "between"

            ends[climbed_by("tenor", take).held] += 1
        told = dict(sorted((rung + 1, count) for rung, count in ends.items()))
        print(
            f"clean in {upper:.2f} above rung {LOWER}: right {100 * ends[wanted] / args.ladders:.0f} %, ended on {told}"
        )
    return 0


if __name__ == "__main__":
    sys.exit(main())
