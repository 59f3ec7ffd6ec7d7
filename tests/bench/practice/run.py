"""Six simulated singers practise: where the ladder leaves them, what is named as the cause, and the same by chance.

    .venv/bin/python tests/bench/practice/run.py [--takes N] [--ladders N] [--seed N]
    .venv/bin/python tests/bench/practice/run.py --results FOLDER [--ladders N] [--seed N]

For each singer and rung the share of clean takes without the ladder; the highest rung with at least 70 % is where a ladder should end,
at its top or after two days running without another rung held.
Then ladders, and causes, each named from three takes alone and three against all. Beside the causes the same with every take drawn from
any of the six singers, with the signs of every take shuffled among its notes (which leaves what is counted and not placed), and with the
names of the voices that pulled drawn anew.

Without ``--results`` takes are frames through the real judge, each ladder with takes of its own. With it they are what
``tests/campaign/run.py ladder`` made of sound; ladders and causes draw from them at random, since each take costs the tracker's time.
"""

from __future__ import annotations

import argparse
import base64
import json
import random
import sys
import zlib
from collections import Counter, defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "support")]

import practising  # noqa: E402 - the path is made above
from practising import EXPECTED, PIECE, clean_shares, climbed, climbed_by, company, ladder  # noqa: E402
from six_singers import SINGERS, Company, Singer  # noqa: E402

from trainer.ladder.cause import Cause, cause  # noqa: E402
from trainer.log.judged import performance_of  # noqa: E402
from trainer.practice.clean import mark  # noqa: E402
from trainer.practice.signs import Sign  # noqa: E402
from trainer.practice.take import Take  # noqa: E402

ENOUGH = 0.7
VOICE = "tenor"
EVERYBODY = Company(tuple(name for name in PIECE.voices if name != VOICE))
ALONE = company(ladder(VOICE)[1])
"""As on the second rung, over a drone with the entries given."""

Three = Callable[[Singer, Company, int], list[Take]]


@dataclass(slots=True)
class Kept:
    """Takes of sound by singer and company."""

    takes: dict[tuple[str, Company], list[Take]] = field(default_factory=lambda: defaultdict(list))

    def shares(self, singer: Singer) -> list[float]:
        """By rung, the share of clean takes."""
        found = [self.takes[singer.kind, company(rung)] for rung in ladder(VOICE)]
        return [sum(mark(take) == "clean" for take in mine) / max(len(mine), 1) for mine in found]

    def climbed(self, singer: Singer, seed: int) -> int:
        """Where a ladder of takes drawn at random ends."""
        chance = random.Random(seed)
        return climbed_by(VOICE, lambda heard: mark(chance.choice(self.takes[singer.kind, heard]))).held

    def three(self, singer: Singer, heard: Company, seed: int) -> list[Take]:
        """Three different ones."""
        return random.Random(f"{seed} {heard}").sample(self.takes[singer.kind, heard], 3)


def main() -> int:
    """Exit status."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--takes", type=int, default=200, help="a rung, without the ladder")
    parser.add_argument("--ladders", type=int, default=50)
    parser.add_argument("--seed", type=int, default=10_000)
    parser.add_argument("--results", type=Path, help="takes of sound, as the campaign left them")
    args = parser.parse_args()
    kept = Kept() if args.results is None else _read(args.results)
    if args.results is None:
        print(f"{PIECE.title}, {VOICE}; {args.takes} takes a rung, {args.ladders} ladders and causes, seed {args.seed}")
    else:
        counts = [len(mine) for mine in kept.takes.values()]
        print(
            f"{PIECE.title}, {VOICE}; {sum(counts)} takes of sound, {min(counts)} to {max(counts)} a singer and company"
        )
    right = ended_right = 0
    for singer in SINGERS:
        if args.results is None:
            shares = list(clean_shares(singer, VOICE, range(args.seed, args.seed + args.takes)))
            ends = Counter(climbed(singer, VOICE, args.seed + 100_000 + 100 * k).held for k in range(args.ladders))
        else:
            shares = kept.shares(singer)
            ends = Counter(kept.climbed(singer, args.seed + k) for k in range(args.ladders))
        highest = max((k for k, share in enumerate(shares) if share >= ENOUGH), default=-1)
        three = _from_frames if args.results is None else kept.three
        found = [_named(singer, three, args.seed + 5_000 * k) for k in range(args.ladders)]
        good = sum(_is_right(singer, one) for one in found)
        right, ended_right = right + good, ended_right + ends[highest]
        told = " ".join(f"{share:.2f}" for share in shares)
        print(f"{singer.kind:<14}clean by rung {told}; should end on {highest + 1}, ended on "
              f"{dict(sorted((rung + 1, count) for rung, count in ends.items()))}; cause right {good} of {len(found)}")  # fmt: skip
    total = args.ladders * len(SINGERS)
    print(f"ended where they should {ended_right} of {total}; cause right in {right} of {total}")
    _by_chance(args, _from_frames if args.results is None else kept.three)
    print(f"rungs: {', '.join(f'{k} {rung.name}' for k, rung in enumerate(ladder(VOICE), start=1))}")
    return 0


def _read(folder: Path) -> Kept:
    kept = Kept()
    for place in sorted(folder.glob("ladder-*.jsonl")):
        for line in place.read_text(encoding="utf-8").splitlines():
            told: dict[str, Any] = json.loads(line)
            for one in told.get("takes", ()) if told.get("voice") == VOICE else ():
                take = performance_of(zlib.decompress(base64.b64decode(one["take"])).decode()).takes[0]
                kept.takes[told["singer"], Company(tuple(one["sounding"]), one["guide"])].append(take)
    return kept


def _from_frames(singer: Singer, heard: Company, seed: int) -> list[Take]:
    first = seed + 300_000 + (1_000 if heard.sounding else 0)
    return [practising.take(singer, VOICE, heard, first + k) for k in range(3)]


def _named(singer: Singer, three: Three, seed: int) -> Cause:
    return cause(three(singer, ALONE, seed), three(singer, EVERYBODY, seed))


def _is_right(singer: Singer, found: Cause) -> bool:
    kind, to = EXPECTED[singer.kind]
    return found.kind == kind and to in (None, found.to)


def _by_chance(args: argparse.Namespace, three: Three) -> None:
    """The same with the signs of every take shuffled, and with the voices that pulled drawn anew."""
    chance = random.Random(args.seed)
    signs = voices = right_voices = followed = anybody = 0
    for singer in SINGERS:
        _, to = EXPECTED[singer.kind]
        for k in range(args.ladders):
            seed = args.seed + 5_000 * k
            alone, against = three(singer, ALONE, seed), three(singer, EVERYBODY, seed)
            mixed = cause([_shuffled(one, chance) for one in alone], [_shuffled(one, chance) for one in against])
            signs += _is_right(singer, mixed)
            drawn = [[_any_take(heard, three, seed + j, chance) for j in range(3)] for heard in (ALONE, EVERYBODY)]
            anybody += _is_right(singer, cause(*drawn))
            if to is not None:
                followed += 1
                right_voices += cause(alone, against).to == to
                voices += cause(alone, [_other_voices(one, chance) for one in against]).to == to
    print(f"causes with takes of any of the six {anybody} of {args.ladders * len(SINGERS)}")
    print(f"causes with signs shuffled within a take {signs} of {args.ladders * len(SINGERS)}")
    print(f"voice that pulls right in {right_voices} of {followed}; voices drawn anew {voices} of {followed}"
          f" (chance {followed / len(EVERYBODY.sounding):.0f})")  # fmt: skip


def _any_take(heard: Company, three: Three, seed: int, chance: random.Random) -> Take:
    return three(chance.choice(SINGERS), heard, seed)[0]


def _shuffled(one: Take, chance: random.Random) -> Take:
    """The take with its notes' signs in another order."""
    told = [(note.signs, note.pulled_to, note.cents) for note in one.notes]
    chance.shuffle(told)
    mixed = tuple(
        replace(note, signs=signs, pulled_to=to, cents=cents)
        for note, (signs, to, cents) in zip(one.notes, told, strict=True)
    )
    return replace(one, notes=mixed, drift_cents=None)


def _other_voices(one: Take, chance: random.Random) -> Take:
    """The take with each pulled note's voice drawn anew: the same one for a whole take, as a real pull would be."""
    drawn = chance.choice(EVERYBODY.sounding)
    notes = tuple(replace(note, pulled_to=drawn) if note.sign is Sign.PULLED else note for note in one.notes)
    return replace(one, notes=notes)


if __name__ == "__main__":
    sys.exit(main())
