"""How fast weak spots are known: the curve over takes, of simulated singers through the real judge.

    .venv/bin/python tests/bench/practice/weak.py [--takes N] [--logs N] [--seed N]

What a spot (an interval, a degree) truly fails in is its share over all N takes of a singer. Of these, logs of 1 to 20 takes are drawn
anew; for each length two figures over the logs: how far the believed rates lie from the true ones (root mean square over the spots of the
line), and how often the spot that truly fails most is told first (those within 0.05 of it count as it), or none where none is clearly weak.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from random import Random

ROOT = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "support")]

from practising import PIECE, take  # noqa: E402 - the path is made above
from six_singers import BEGINNER, FOLLOWER, LENDER, SIGHT_READER, Company  # noqa: E402

from trainer.library import resolve  # noqa: E402
from trainer.log.outcome import Tried  # noqa: E402
from trainer.plan.weak import CLEARLY, aim, usual_rate, weak_spots  # noqa: E402
from trainer.takes.outcomes import tried  # noqa: E402

VOICE = "tenor"
LENGTHS = (1, 2, 3, 4, 5, 6, 8, 10, 15, 20)
ALIKE = 0.05


def main() -> int:
    """Exit status."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--takes", type=int, default=60)
    parser.add_argument("--logs", type=int, default=300)
    parser.add_argument("--seed", type=int, default=40_000)
    args = parser.parse_args()
    score, line = resolve(PIECE.title), PIECE.voices.index(VOICE)
    everybody = Company(tuple(name for name in PIECE.voices if name != VOICE))
    print(
        f"{PIECE.title}, {VOICE}, {args.takes} takes a singer, {args.logs} logs a length; takes in a log: error, weakest told first"
    )
    for singer in (SIGHT_READER, FOLLOWER, LENDER, BEGINNER):
        takes = [
            tried(score, line, take(singer, VOICE, everybody, seed))
            for seed in range(args.seed, args.seed + args.takes)
        ]
        true = {one.spot: one.failed / one.tried for one in _added(takes)}
        worst = max(true.values())
        clear = worst >= CLEARLY * usual_rate(_added(takes))
        best = {spot for spot, rate in true.items() if rate >= worst - ALIKE} if clear else {""}
        chance, told = Random(args.seed), []
        for length in LENGTHS:
            logs = [_added(chance.choices(takes, k=length)) for _ in range(args.logs)]
            squares = [(one.rate - true[one.spot]) ** 2 for log in logs for one in weak_spots(log)]
            first = sum(aim(log).partition(" x")[0] in best for log in logs)
            told.append(f"{length}: {(sum(squares) / len(squares)) ** 0.5:.2f}, {100 * first / len(logs):.0f} %")
        print(f"{singer.kind} ({', '.join(sorted(best)) or 'none clearly'} {worst:.2f}): {'; '.join(told)}")
    return 0


def _added(logs: Sequence[Sequence[Tried]]) -> list[Tried]:
    tries: Counter[str] = Counter()
    fails: Counter[str] = Counter()
    for log in logs:
        for one in log:
            tries[one.spot] += one.tried
            fails[one.spot] += one.failed
    return [Tried(spot, tries[spot], fails[spot]) for spot in sorted(tries)]


if __name__ == "__main__":
    sys.exit(main())
