"""Makes the composed part of the library: the same bytes every time from the seed below, on every machine.

    .venv/bin/python tests/bench/library/make.py --into FOLDER      # some minutes of the processor
    diff -r drills FOLDER                                           # only the LICENSE is missing

The exercises numbered up to ``BY_HAND`` were written by hand and are only graded anew (their music is never touched). For every layout
(``layouts.py``) a few candidates are composed, and the one is taken whose line weighs nearest to what is usual on its rung, so that the
way up the ladder is an even one. A candidate is passed over where its line is too like one that is there.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import islice
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "support"), str(Path(__file__).parent)]

from layouts import Layout, chosen  # noqa: E402
from likeness import Sung, like, sung  # noqa: E402

from trainer.compose import Wish, WishError, compose  # noqa: E402
from trainer.formats import read_path, write_path  # noqa: E402
from trainer.grading.grade import Grade, grade, graded, with_facts, with_grade  # noqa: E402
from trainer.grading.ladder import place, rung  # noqa: E402
from trainer.library.titles import titles  # noqa: E402
from trainer.rules.piece import Piece  # noqa: E402
from trainer.score.model import Score, find_voice  # noqa: E402
from trainer.score.modes import split_mode  # noqa: E402

SEED = 1725
BY_HAND = 17
CANDIDATES = 4
MOST_SEEDS = 40
RULES_IN_TURN = ("tonal", "conservatoire")
"""What minor and major are composed by, in turn; the church modes go by strict16."""

LIGHTEST, HEAVIEST = Fraction(9, 20), Fraction(13, 10)
"""Points a note that are aimed at on the lowest and the highest rung."""


@dataclass(frozen=True, slots=True)
class Made:
    """One exercise without a title, and the layout and seed that it came from."""

    layout: Layout
    score: Score
    grade: Grade


def wish_of(layout: Layout, number: int) -> Wish:
    """What the generator is asked for. Every second tonal exercise in four parts has chordal sevenths."""
    tonal = layout.mode in ("minor", "major")
    rules = RULES_IN_TURN[number % 2] if tonal else "strict16"
    sevenths = rules == "tonal" and layout.parts == 4 and number % 4 == 0
    return Wish(
        layout.parts,
        layout.species,
        layout.cantus,
        layout.line,
        layout.sing,
        layout.mode,
        rules=rules,
        sevenths=sevenths,
    )


def made(layout: Layout, number: int, there: list[Sung]) -> Made:
    """The best of the candidates for one layout that are not too like what is *there*."""
    found: list[tuple[Fraction, int, Made]] = []
    for more in range(MOST_SEEDS):
        seed = SEED * 1_000_000 + number * MOST_SEEDS + more
        try:
            score = compose(replace(wish_of(layout, number), seed=seed)).score
        except WishError:
            continue
        line = find_voice(score, layout.sing)
        if any(like(sung(score, line), other) for other in there):
            continue
        weighed = grade(score, line)
        score = with_facts(score, {"source": f"composed by heldline, seed {seed}"})
        away = abs(weighed.mean_points - aimed_at(rung(place(Piece(score), line))))
        found.append((away, more, Made(layout, with_grade(score, weighed), weighed)))
        if len(found) == CANDIDATES:
            break
    if not found:
        raise SystemExit(f"nothing for {layout}")
    return min(found, key=lambda one: one[:2])[2]


def aimed_at(step: int) -> Fraction:
    """Points a note that suit a rung."""
    return LIGHTEST + (HEAVIEST - LIGHTEST) * (step - 1) / 11


def layout_of(score: Score) -> Layout:
    """The layout of an exercise that is there."""
    return Layout(
        score.fact("species"),
        len(score.lines),
        split_mode(score.fact("mode"))[1],
        score.fact("cantus"),
        score.fact("sing"),
        score.fact("sing"),
    )


def library(by_hand: Iterable[Score]) -> list[Score]:
    """Every exercise in its order: those by hand, then the composed ones from the easiest to the hardest."""
    first = [graded(score) for score in by_hand]
    there = [sung(score, find_voice(score, score.fact("sing"))) for score in first]
    found: list[Made] = []
    for number, layout in enumerate(chosen([layout_of(score) for score in first], SEED)):
        one = made(layout, number, there)
        there.append(sung(one.score, find_voice(one.score, layout.sing)))
        found.append(one)
        print(f"\r{number + 1}", end="", file=sys.stderr, flush=True)
    print(file=sys.stderr)
    found.sort(key=lambda one: (one.grade.level, one.layout.parts, one.layout.species, one.score.fact("source")))
    named = islice(titles(0, {score.title for score in first}), len(found))
    return first + [replace(one.score, title=title) for one, title in zip(found, named, strict=True)]


def file_name(number: int, score: Score) -> str:
    """As 018-anchor-at-low-water.drill."""
    words = score.title.lower().replace(",", "").replace("'", "").split()
    return f"{number:03d}-{'-'.join(words)}.drill"


def main() -> int:
    """Exit status."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--into", type=Path, required=True)
    args = parser.parse_args()
    by_hand = [read_path(path) for path in sorted((ROOT / "drills").glob("*.drill"))[:BY_HAND]]
    args.into.mkdir(parents=True, exist_ok=True)
    for number, score in enumerate(library(by_hand), start=1):
        write_path(score, args.into / file_name(number, score))
    return 0


if __name__ == "__main__":
    sys.exit(main())
