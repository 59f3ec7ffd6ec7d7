"""Parallels in the 365 four-part chorales of the music21 package: ours, and what music21's VoiceLeadingQuartet answers, place by place.

    python tests/bench/rules/chorales.py [--every N]

How the two are compared stands in ``tests/support/chorale_parallels.py``; a difference of no known kind fails the bench. The published
counts beside ours are those of the same comparison made by hand on the same edition, and of a humdrum laboratory's tests (its number
of chorales not stated); G. Dahn counted at least 46 consecutives in all chorales by eye (2016).
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from pathlib import Path
from statistics import median
from typing import Any

ROOT = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "support")]

from chorale_parallels import CHORALES, KINDS, chorales, compare  # noqa: E402 - the path is made above

PUBLISHED = {
    ("similar", 5): "50 (same files); 36 (humdrum laboratory)",
    ("similar", 8): "21 (same files); 6 (humdrum laboratory)",
    ("contrary", 5): "64 (same files); 61 (humdrum laboratory)",
    ("contrary", 8): "20 (same files)",
}


def main() -> int:
    """1 when a difference is of no known kind."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--every", type=int, default=1, metavar="N", help="only every Nth file")
    args = parser.parse_args()
    done = {path: one for path in chorales()[:: args.every] if (one := compare(path)) is not None}
    total: dict[str, Counter[Any]] = {name: Counter() for name in ("ours", "sung", "theirs", "kinds")}
    for one in done.values():
        for name, counter in total.items():
            counter.update(getattr(one, name))
    print(f"{len(done)} chorales")
    print(f"{'':<24}{'ours, page':>12}{'ours, sung':>12}{'music21':>9}  published")
    for key, words in PUBLISHED.items():
        row = "".join(f"{total[name][key]:>{wide}}" for name, wide in (("ours", 12), ("sung", 12), ("theirs", 9)))
        name = "fifths" if key[1] == 5 else "octaves, unisons"
        print(f"{key[0] + ' ' + name:<24}{row}  {words}")
    for kind, words in KINDS.items():
        print(f"differs {total['kinds'][kind]:>4} times, {kind}: {words}")
    own, other = median(one.own_s for one in done.values()), median(one.music21_s for one in done.values())
    print(
        f"read and checked in {1000 * own:.1f} ms (median); music21 reads in {1000 * other:.1f} ms, {other / own:.1f} times that"
    )
    unexplained = [(path.name, place) for path, one in done.items() for place in one.unexplained]
    for name, place in unexplained:
        print(f"UNEXPLAINED {name}: {place}")
    missing = args.every == 1 and len(done) != CHORALES
    return 1 if unexplained or missing or not done else 0


if __name__ == "__main__":
    sys.exit(main())
