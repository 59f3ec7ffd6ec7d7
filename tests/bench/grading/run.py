"""What lies on each level of the ladder: points a note, leaps, clashes and surprise of the lines to sing.

    .venv/bin/python tests/bench/grading/run.py                              # the shipped library
    .venv/bin/python tests/bench/grading/run.py --composed 300 --seed 5      # new exercises, every layout evenly, none chosen

Exit status 1 where the mean of points a note does not rise from one level to the next (of levels with at least ``ENOUGH`` lines).
Leaps are wider than a fourth; clashes are the line's own suspensions and those held against it; surprise is the mean of -log2 of each
interval's share among those that the same voice of 365 chorales sings after an interval of the same class.
"""

from __future__ import annotations

import argparse
import random
import sys
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from statistics import mean

ROOT = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "support"), str(ROOT / "tests" / "bench" / "library")]

from trainer.compose import WishError, compose  # noqa: E402
from trainer.formats import read_path  # noqa: E402
from trainer.grading import HIGHEST_LEVEL, LOWEST_LEVEL  # noqa: E402
from trainer.grading.grade import Grade, grade_part  # noqa: E402
from trainer.grading.ladder import place, rung  # noqa: E402
from trainer.library import exercises  # noqa: E402
from trainer.rules.piece import Piece  # noqa: E402
from trainer.score.model import Score, find_voice  # noqa: E402
from trainer.singable.part import Part  # noqa: E402

ENOUGH = 8
FOURTH_LETTERS = 3


def shipped() -> Iterator[Score]:
    """Every exercise of the library."""
    for exercise in exercises():
        yield read_path(exercise.path)


def composed(count: int, seed: int) -> Iterator[Score]:
    """New exercises of all layouts in turn, whatever comes."""
    from layouts import possible
    from make import wish_of

    rng = random.Random(seed)
    cells = defaultdict(list)
    for layout in possible():
        cells[layout.parts, layout.species].append(layout)
    for number in range(count):
        layout = rng.choice(cells[sorted(cells)[number % len(cells)]])
        try:
            yield compose(replace(wish_of(layout, number), seed=rng.randrange(10**9))).score
        except WishError as err:
            print(f"not composed: {layout}: {err.what}", file=sys.stderr)


def row(part: Part, found: Grade) -> tuple[float, float, float, float, float]:
    """Points a note, wide leaps and clashes a hundred notes, bits an interval, and how far the level lies from the layout's rung."""
    notes = len(part.line)
    leaps = sum(abs(after.dia - before.dia) > FOURTH_LETTERS for before, after in pairwise(part.line))
    clashes = sum(part.voice in {one.held.voice, *(t.voice for t in one.against)} for one in part.piece.suspensions)
    moved = found.level - rung(place(part.piece, part.voice))
    return float(found.mean_points), 100 * leaps / notes, 100 * clashes / notes, float(found.weighed.mean_bits), moved


def main() -> int:
    """Exit status."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--composed", type=int, metavar="N")
    parser.add_argument("--seed", type=int, default=0)
    args = parser.parse_args()
    levels = defaultdict(list)
    for score in composed(args.composed, args.seed) if args.composed else shipped():
        part = Part(Piece(score), find_voice(score, score.fact("sing")))
        found = grade_part(part)
        levels[found.level].append(row(part, found))
    print(
        "| level | lines | points a note | leaps / 100 | clashes / 100 | bits | level less rung |\n|---|---|---|---|---|---|---|"
    )
    before, falls = 0.0, []
    for level in range(LOWEST_LEVEL, HIGHEST_LEVEL + 1):
        rows = levels[level]
        if not rows:
            continue
        points, leaps, clashes, bits, moved = (mean(column) for column in zip(*rows, strict=True))
        print(f"| {level} | {len(rows)} | {points:.2f} | {leaps:.1f} | {clashes:.1f} | {bits:.2f} | {moved:+.1f} |")
        if len(rows) >= ENOUGH:
            falls += [level] if points <= before else []
            before = points
    for level in falls:
        print(f"level {level} is no heavier than the one below")
    return 1 if falls else 0


if __name__ == "__main__":
    sys.exit(main())
