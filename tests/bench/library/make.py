"""Makes the composed part of the library: the same bytes every time from the seed below, on every machine.

    .venv/bin/python tests/bench/library/make.py --into FOLDER      # some minutes of the processor, taken up again where it was stopped
    diff -r drills FOLDER                                           # only the LICENSE is missing

The exercises numbered up to ``BY_HAND`` were written by hand and are only graded anew (their music is never touched). For every layout
(``layouts.py``) a few candidates are composed; one with a crux that hardly any has goes first, else the one whose line weighs nearest to
what suits its rung, so that the way up the ladder is an even one. A candidate is passed over where its line is too like one that is
there, or where the second checker forbids what the program allows (that is told).
"""

from __future__ import annotations

import argparse
import shutil
import sys
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "support"), str(Path(__file__).parent)]

from layouts import Layout, chosen  # noqa: E402
from likeness import Sung, like, sung  # noqa: E402
from second_opinion import second_opinion  # noqa: E402

from trainer.compose import Wish, WishError, compose  # noqa: E402
from trainer.formats import read_path, write_path  # noqa: E402
from trainer.grading.grade import grade, graded, with_facts, with_grade  # noqa: E402
from trainer.grading.ladder import place, rung  # noqa: E402
from trainer.library.titles import titles  # noqa: E402
from trainer.rules.piece import Piece  # noqa: E402
from trainer.score.model import Score, find_voice  # noqa: E402
from trainer.score.modes import split_mode  # noqa: E402

SEED = 1725
BY_HAND = 17
CANDIDATES = 3
MOST_SEEDS = 40
RULES_IN_TURN = ("tonal", "conservatoire")
"""What minor and major are composed by, in turn; the church modes go by strict16."""

LIGHTEST, HEAVIEST = Fraction(9, 20), Fraction(23, 20)
"""Points a note that are aimed at on the lowest and the highest rung."""


SOUGHT = (
    "steps only",
    "clash in bar",
    "after a rest",
    "after rests",
    "seventh of the chord",
    "goes under",
    "goes over",
)
"""Words of a crux that lines seldom have and singers ask for."""

OFTEN_ENOUGH = 5

NEEDED, PLAIN_PARTS = ("steps only",), 2
"""What a beginner asks for and must find; voices of the layouts in which it is looked for where none has it."""


def wish_of(layout: Layout, number: int) -> Wish:
    """What the generator is asked for. Every second tonal exercise in four parts may have chordal sevenths."""
    tonal = layout.mode in ("minor", "major")
    rules = RULES_IN_TURN[number % 2] if tonal else "strict16"
    together = layout.species not in ("4", "combined")  # a seventh chord wants its voices struck together
    sevenths = rules == "tonal" and layout.parts == 4 and number % 4 == 0 and together
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


def made(layout: Layout, number: int, there: Sequence[Sung], told: Sequence[str]) -> Score:
    """The best of the candidates for one layout that are not too like what is *there*; *told* is the crux of each."""
    scarce = [words for words in SOUGHT if sum(words in crux for crux in told) < OFTEN_ENOUGH]
    found: list[tuple[bool, Fraction, int, Score]] = []
    for more, score in candidates(layout, number, there):
        plain = not any(words in score.fact("crux") for words in scarce)
        found.append((plain, away(score, layout), more, score))
        if len(found) == CANDIDATES:
            break
    if not found:
        raise SystemExit(f"nothing for {layout}")
    return min(found, key=lambda one: one[:3])[3]


def candidates(layout: Layout, number: int, there: Sequence[Sung]) -> Iterator[tuple[int, Score]]:
    """Graded exercises for one layout, not too like what is *there*, with their places among its seeds."""
    for more in range(MOST_SEEDS):
        seed = SEED * 1_000_000 + number * MOST_SEEDS + more
        try:
            score = compose(replace(wish_of(layout, number), seed=seed)).score
        except WishError as err:
            print(f"not composed: {layout}, seed {seed}: {err.what}", file=sys.stderr)
            continue
        line = find_voice(score, layout.sing)
        if any(like(sung(score, line), other) for other in there):
            continue
        if second_opinion(score):
            print(f"forbidden by the second checker: {layout}, seed {seed}: {second_opinion(score)}", file=sys.stderr)
            continue
        score = with_facts(score, {"source": f"composed by heldline, seed {seed}"})
        yield more, with_grade(score, grade(score, line))


def away(score: Score, layout: Layout) -> Fraction:
    """How far the line's points a note lie from what suits its rung."""
    line = find_voice(score, layout.sing)
    return abs(grade(score, line).mean_points - aimed_at(rung(place(Piece(score), line))))


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


def composed(by_hand: Sequence[Score], parts: Path, most: int) -> list[Score] | None:
    """Every composed exercise in the order of the layouts, each kept in *parts* as soon as it is made; None after *most* new ones."""
    there = [_sung(score) for score in by_hand]
    found: list[Score] = []
    new = 0
    for number, layout in enumerate(chosen([layout_of(score) for score in by_hand], SEED)):
        kept = parts / f"{number:03d}.drill"
        if not kept.exists():
            if new == most:
                return None
            write_path(made(layout, number, there, [score.fact("crux") for score in (*by_hand, *found)]), kept)
            new += 1
        score = read_path(kept)
        found.append(score)
        there.append(_sung(score))
    for words in NEEDED:
        if not any(words in score.fact("crux") for score in (*by_hand, *found)):
            give(words, found, there[len(by_hand) :], parts, chosen([layout_of(score) for score in by_hand], SEED))
    return found


def give(words: str, found: list[Score], there: list[Sung], parts: Path, layouts: Sequence[Layout]) -> None:
    """Puts an exercise whose crux has *words*, which none has, in place of the first of a plain layout that can have them."""
    for number, layout in enumerate(layouts):
        if layout.species != "1" or layout.parts > PLAIN_PARTS:
            continue
        others = [*there[:number], *there[number + 1 :]]
        for _, score in candidates(layout, number, others):
            if words in score.fact("crux"):
                found[number], there[number] = score, _sung(score)
                write_path(score, parts / f"{number:03d}.drill")
                return
    raise SystemExit(f"no plain exercise has {words!r}")


def _sung(score: Score) -> Sung:
    return sung(score, find_voice(score, score.fact("sing")))


def named(by_hand: Sequence[Score], found: Iterable[Score]) -> list[Score]:
    """The whole library in its order: those by hand, then the composed ones from the easiest to the hardest, with their titles."""
    ordered = sorted(
        found,
        key=lambda score: (int(score.fact("level")), len(score.lines), score.fact("species"), score.fact("source")),
    )
    taken = titles(0, {score.title for score in by_hand})
    return [*by_hand, *(replace(score, title=title) for score, title in zip(ordered, taken, strict=False))]


def file_name(number: int, score: Score) -> str:
    """As 018-anchor-at-low-water.drill."""
    words = score.title.lower().replace(",", "").replace("'", "").split()
    return f"{number:03d}-{'-'.join(words)}.drill"


def main() -> int:
    """Exit status."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--into", type=Path, required=True)
    parser.add_argument(
        "--most", type=int, default=10_000, metavar="N", help="stop after so many new ones; go on later"
    )
    args = parser.parse_args()
    by_hand = [graded(read_path(path)) for path in sorted((ROOT / "drills").glob("*.drill"))[:BY_HAND]]
    parts = args.into / "parts"
    parts.mkdir(parents=True, exist_ok=True)
    found = composed(by_hand, parts, args.most)
    if found is None:
        print(f"{len(list(parts.iterdir()))} are made; start it again to go on")
        return 0
    for number, score in enumerate(named(by_hand, found), start=1):
        write_path(score, args.into / file_name(number, score))
    shutil.rmtree(parts)
    return 0


if __name__ == "__main__":
    sys.exit(main())
