"""Ours beside Fux's figures (chorales for tonal), measure by measure, the same species and number of parts.

    python tests/bench/compose/run.py [--count N] [--parts 4] [--species 1 2 3 4 5] [--rules strict16] [--seed S]

Fux's are the worked figures in tests/golden/fux (CC0), those with that species in one voice and whole notes in the others; the
chorales' shares of steps are counted from the 365 chorales of the music21 package, beside every count of tonal music. What is counted
stands in ``tests/support/counted_music.py``. Exit 1 where a share differs by more than ten points.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "support")]

from cells import MODES  # noqa: E402 - the path is made above
from counted_music import means  # noqa: E402
from fux import figures  # noqa: E402

from trainer.compose import Wish, compose  # noqa: E402
from trainer.rules.piece import Piece  # noqa: E402
from trainer.score.model import Score  # noqa: E402

CHORALE_STEPS = {"steps, voice 1": 87.0, "steps, voice 2": 81.7, "steps, voice 3": 78.7, "steps, voice 4": 67.1}
FIRST_SEED = 40_000
NEAR = 10


def theirs(parts: int, species: str) -> list[Score]:
    """Fux's figures of that kind."""
    wanted = {"cantus", "1", species}
    return [
        score
        for score in figures().values()
        if len(score.lines) == parts and set(kinds := Piece(score).species) <= wanted and species in kinds
    ]


def ours(parts: int, species: str, rules: str, count: int, seed: int) -> Iterator[Score]:
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


def main() -> int:
    """The tables."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--count", type=int, default=100)
    parser.add_argument("--parts", type=int, default=4)
    parser.add_argument("--species", nargs="+", default=["1", "2", "3", "4", "5"])
    parser.add_argument("--rules", default="strict16")
    parser.add_argument("--seed", type=int, default=FIRST_SEED)
    args = parser.parse_args()
    far = 0
    for species in args.species:
        fux = theirs(args.parts, species)
        peers = means(fux) if args.rules != "tonal" else CHORALE_STEPS
        own = means(ours(args.parts, species, args.rules, args.count, args.seed))
        who = f"{len(fux)} of Fux" if args.rules != "tonal" else "365 chorales"
        print(f"{args.parts} parts, species {species}, {args.rules}: {args.count} of ours, {who}")
        for name in sorted(own):
            peer = peers.get(name)
            off = peer is not None and not name.startswith("range") and abs(own[name] - peer) > NEAR
            far += off
            print(f"  {name:<26}{own[name]:>7.1f}{'' if peer is None else f'{peer:>8.1f}'}{'  far' if off else ''}")
    return 1 if far else 0


if __name__ == "__main__":
    sys.exit(main())
