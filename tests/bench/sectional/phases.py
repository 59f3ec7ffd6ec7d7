"""Right desks that begin at random moments of their turn, where nobody measured the delay: is one told of an end it did not make?

    python tests/bench/sectional/phases.py [--first SEED] [--turns N] [--apart S]

A desk on a crowded machine hears the sound a little sooner or later than the server says. Each turn is four bars by another simulated
singer, as much too early or too late as a random number says, through the tracker and the judge of a live take. Always exits 0.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from fractions import Fraction
from pathlib import Path

import numpy as np

HERE = Path(__file__).resolve()
sys.path[:0] = [str(HERE.parents[3]), str(HERE.parents[2] / "support")]

import simulated_singer  # noqa: E402 - the path is made above
import slips  # noqa: E402
from section_stage import excerpt_sung  # noqa: E402

from audio.block import Block  # noqa: E402
from trainer.library import resolve  # noqa: E402
from trainer.practice.settings import Settings  # noqa: E402
from trainer.score.change import cut  # noqa: E402
from trainer.takes.judging import judge  # noqa: E402
from trainer.takes.recording import heard_from  # noqa: E402

TITLE, ALTO, BARS, QPM = "Rope over the Sluice", 1, (3, 6), 96
MUSIC_AT_S = 1.0
RATE_HZ = 48_000


def main() -> int:
    """Print what was told of all notes."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--first", type=int, default=5000, metavar="SEED")
    parser.add_argument("--turns", type=int, default=40, metavar="N")
    parser.add_argument(
        "--apart", type=float, default=0.35, metavar="S", help="at most so much too early or too late (0.35)"
    )
    args = parser.parse_args()
    score = cut(resolve(TITLE), *BARS)
    counts: Counter[str] = Counter()
    for seed in range(args.first, args.first + args.turns):
        apart_s = float(np.random.default_rng(seed).uniform(-args.apart, args.apart))
        found = _signs(score, seed, apart_s)
        counts += Counter(found)
        if set(found) != {"held"}:
            print(f"  seed {seed}, {1000 * apart_s:+.0f} ms: {' '.join(found)}", flush=True)
    print(f"{args.turns} turns, {sum(counts.values())} right notes: {dict(counts)}")
    return 0


def _signs(score: object, seed: int, apart_s: float) -> list[str]:
    line = excerpt_sung(resolve(TITLE), ALTO, BARS, QPM)
    sung = tuple(
        slips.SungNote(n.index, n.start_s + MUSIC_AT_S + apart_s, n.end_s + MUSIC_AT_S + apart_s, n.midi) for n in line
    )
    seconds = max(n.end_s for n in line) + MUSIC_AT_S + 0.6
    throat = simulated_singer.Throat("women", room_dbfs=-70)
    sound = simulated_singer.sing(sung, seed=seed, seconds=seconds, throat=throat).samples[:, None].astype(np.float32)
    settings = Settings(tempo_qpm=Fraction(QPM), starts_at_s=Fraction(MUSIC_AT_S), delay_known=False)
    heard = heard_from([Block(sound[: round(seconds * RATE_HZ)], ("mic1",), 0, RATE_HZ)])
    (take,) = judge(score, (ALTO,), heard, settings=settings).takes  # type: ignore[arg-type]
    return [note.sign.value for note in take.notes]


if __name__ == "__main__":
    sys.exit(main())
