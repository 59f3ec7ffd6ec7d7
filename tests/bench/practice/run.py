"""Six simulated singers practise: where the ladder leaves them, what is named as the cause, and the same by chance.

    .venv/bin/python tests/bench/practice/run.py [--takes N] [--ladders N] [--seed N]

For each singer and rung the share of clean takes without the ladder; the highest rung with at least 70 % is where a ladder should end.
Then ladders, each with takes of its own, and causes, each named from three takes alone and three against all. Beside the causes the same
with the signs of every take shuffled among its notes, and with the names of the voices that pulled drawn anew: both must fall to chance.
"""

from __future__ import annotations

import argparse
import random
import sys
from collections import Counter
from dataclasses import replace
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "support")]

ENOUGH = 0.7


def main() -> int:
    """Exit status."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--takes", type=int, default=200, help="a rung, without the ladder")
    parser.add_argument("--ladders", type=int, default=50)
    parser.add_argument("--seed", type=int, default=10_000)
    args = parser.parse_args()
    from practising import EXPECTED, PIECE, clean_shares, climbed, company, ladder, named, take
    from six_singers import SINGERS, Company

    from trainer.ladder.cause import cause
    from trainer.practice.signs import Sign

    voice = "tenor"
    print(f"{PIECE.title}, {voice}; {args.takes} takes a rung, {args.ladders} ladders and causes, seed {args.seed}")
    everybody = Company(tuple(name for name in PIECE.voices if name != voice))
    chance = random.Random(args.seed)
    right_causes = right_voices = shuffled_signs = shuffled_voices = followed = 0
    for singer in SINGERS:
        shares = list(clean_shares(singer, voice, range(args.seed, args.seed + args.takes)))
        highest = max((k for k, share in enumerate(shares) if share >= ENOUGH), default=-1)
        ends = Counter(climbed(singer, voice, args.seed + 100_000 + 100 * k).held for k in range(args.ladders))
        kind, to = EXPECTED[singer.kind]
        found = [named(singer, voice, args.seed + 300_000 + 5_000 * k) for k in range(args.ladders)]
        right = sum(one.kind == kind and to in (None, one.to) for one in found)
        right_causes += right
        told = " ".join(f"{share:.2f}" for share in shares)
        print(f"{singer.kind:<14}clean by rung {told}; should end on {highest + 1}, ended on "
              f"{dict(sorted((rung + 1, count) for rung, count in ends.items()))}; cause right {right} of {len(found)}")  # fmt: skip
        for k in range(args.ladders):
            alone = [take(singer, voice, Company(), args.seed + 300_000 + 5_000 * k + j) for j in range(3)]
            against = [take(singer, voice, everybody, args.seed + 301_000 + 5_000 * k + j) for j in range(3)]
            mixed = cause([_shuffled(one, chance) for one in alone], [_shuffled(one, chance) for one in against])
            shuffled_signs += mixed.kind == kind and to in (None, mixed.to)
            if to is not None:
                followed += 1
                right_voices += found[k].to == to
                others = [_other_voices(one, list(everybody.sounding), chance, Sign.PULLED) for one in against]
                shuffled_voices += cause(alone, others).to == to
    total = args.ladders * len(SINGERS)
    print(f"cause right in {right_causes} of {total}; signs shuffled {shuffled_signs} of {total}")
    print(f"voice that pulls right in {right_voices} of {followed}; voices drawn anew {shuffled_voices} of {followed}"
          f" (chance {followed / len(everybody.sounding):.0f})")  # fmt: skip
    print(f"rungs: {', '.join(f'{k} {rung.name}' for k, rung in enumerate(ladder(voice), start=1))}")
    assert company(ladder(voice)[0]).guide == "full"
    return 0


def _shuffled(one: object, chance: random.Random) -> object:
    """The take with its notes' signs in another order."""
    notes = list(one.notes)  # type: ignore[attr-defined]
    told = [(note.signs, note.pulled_to, note.cents) for note in notes]
    chance.shuffle(told)
    mixed = tuple(
        replace(note, signs=signs, pulled_to=to, cents=cents)
        for note, (signs, to, cents) in zip(notes, told, strict=True)
    )
    return replace(one, notes=mixed, drift_cents=None)  # type: ignore[type-var]


def _other_voices(one: object, names: list[str], chance: random.Random, pulled: object) -> object:
    """The take with each pulled note's voice drawn anew: the same one for a whole take, as a real pull would be."""
    drawn = chance.choice(names)
    notes = tuple(
        replace(note, pulled_to=drawn) if note.sign is pulled else note
        for note in one.notes  # type: ignore[attr-defined]
    )
    return replace(one, notes=notes)  # type: ignore[type-var]


if __name__ == "__main__":
    sys.exit(main())
