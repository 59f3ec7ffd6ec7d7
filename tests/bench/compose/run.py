"""Ours beside Fux's figures (chorales for tonal), measure by measure, the same species, number of parts and layout.

    python tests/bench/compose/run.py [--count N] [--parts 4] [--species 1 2 3 4 5] [--rules strict16] [--seed S]

Fux's are the worked figures in tests/golden/fux (CC0), those with that species in one voice and whole notes in the others. Ours go round
the same layouts: each has the mode, the cantus' voice and the moving voice of one of them. The chorales are read in place from the
music21 package; of them steps, contrary motion and consonances are counted, since a chorale of forty bars has another range. What is
counted stands in ``tests/support/counted_music.py``; after his means stands their standard error, large where there are two or three.

The last table has all species together, every figure of his weighing the same. Exit 1 where a share in it is more than ten points from
his, or where one of a species is and lies further away than twice the error of his.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "support")]

from cells import MODES  # noqa: E402 - the path is made above
from chorale_parallels import chorales, is_satb  # noqa: E402
from counted_music import Counts, counted, errors, means  # noqa: E402
from fux import figures  # noqa: E402

from audio.errors import HeldlineError  # noqa: E402
from trainer.compose import Wish, compose  # noqa: E402
from trainer.formats import read_path  # noqa: E402
from trainer.rules.piece import Piece  # noqa: E402
from trainer.score.model import Score  # noqa: E402

FIRST_SEED = 40_000
NEAR = 10
SURE = 2
"""Standard errors beyond which a difference is one."""


def theirs(parts: int, species: str) -> list[Score]:
    """Fux's figures of that kind."""
    wanted = {"cantus", "1", species}
    return [
        score
        for score in figures().values()
        if len(score.lines) == parts and set(kinds := Piece(score).species) <= wanted and species in kinds
    ]


def of_chorales() -> list[Counts]:
    """What is counted of every four-part chorale of the corpus that our reader takes."""
    found = []
    for path in chorales():
        try:
            score = read_path(path)
        except HeldlineError:
            continue
        if is_satb([line.name for line in score.lines]):
            found.append(
                {name: told for name, told in counted(score).items() if not name.startswith(("range", "peaks"))}
            )
    return found


def like_theirs(figures_: list[Score], count: int, seed: int) -> Iterator[Score]:
    """As many of ours, going round the layouts of the figures."""
    for number in range(count):
        piece = Piece(figures_[number % len(figures_)])
        voices = Wish(parts=piece.parts).voices
        species = piece.species
        moving = [voice for voice, kind in zip(voices, species, strict=True) if kind not in ("cantus", "1")]
        others = [voice for voice, kind in zip(voices, species, strict=True) if kind != "cantus"]
        yield compose(
            Wish(
                parts=piece.parts,
                species=species,
                cantus_voice=voices[species.index("cantus")],
                line_voice=(moving or others)[0],
                mode=piece.mode.name if piece.mode else "dorian",
                seed=seed + number,
            )
        ).score


def round_all(parts: int, species: str, rules: str, count: int, seed: int) -> Iterator[Score]:
    """As many of ours, going round the modes, the cantus' voice and the moving one."""
    voices = Wish(parts=parts).voices
    for number in range(count):
        cantus = voices[number % parts]
        others = [voice for voice in voices if voice != cantus]
        yield compose(
            Wish(
                parts=parts,
                species=species,
                cantus_voice=cantus,
                line_voice=others[number // parts % len(others)],
                mode=MODES[number % 6] if rules != "tonal" else MODES[6 + number % 2],
                rules=rules,
                seed=seed + number,
            )
        ).score


def table(head: str, own: dict[str, float], peers: dict[str, float], sure: dict[str, float]) -> tuple[int, int]:
    """Printed; how many shares are far, and how many of these lie beyond what his figures leave open."""
    print(head)
    far = beyond = 0
    for name in sorted(own):
        if name not in peers:
            print(f"  {name:<26}{own[name]:>7.1f}")
            continue
        off = abs(own[name] - peers[name])
        open_ = sure.get(name, 0.0)
        is_far = not name.startswith("range") and off > NEAR
        far += is_far
        beyond += is_far and off > SURE * open_
        said = "" if not is_far else "  far" if off > SURE * open_ else f"  far, as {SURE} errors allow"
        spread = f" +- {open_:.1f}" if open_ else ""
        print(f"  {name:<26}{own[name]:>7.1f}{peers[name]:>8.1f}{spread}{said}")
    return far, beyond


def main() -> int:
    """The tables."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--count", type=int, default=100)
    parser.add_argument("--parts", type=int, default=4)
    parser.add_argument("--species", nargs="+", default=["1", "2", "3", "4", "5"])
    parser.add_argument("--rules", default="strict16")
    parser.add_argument("--seed", type=int, default=FIRST_SEED)
    args = parser.parse_args()
    bad = 0
    his: list[Counts] = of_chorales() if args.rules == "tonal" else []
    weighed: list[Counts] = []
    for species in args.species:
        head = f"{args.parts} parts, species {species}, {args.rules}: {args.count} of ours"
        if args.rules == "tonal":
            own = [counted(one) for one in round_all(args.parts, species, args.rules, args.count, args.seed)]
            bad += table(f"{head}, {len(his)} chorales", means(own), means(his), {})[1]
            continue
        fux = theirs(args.parts, species)
        peers = [counted(one) for one in fux]
        own = [counted(one) for one in like_theirs(fux, args.count, args.seed)]
        bad += table(f"{head}, {len(fux)} of Fux", means(own), means(peers), errors(peers))[1]
        his += peers
        share = len(fux) / args.count
        weighed += [{name: (total * share, of * share) for name, (total, of) in one.items()} for one in own]
    if weighed:
        head = f"{args.parts} parts, all of these together: {len(weighed)} of ours, {len(his)} of Fux"
        bad += table(head, means(weighed), means(his), errors(his))[0]
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
