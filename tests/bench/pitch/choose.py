"""Choose report seeds by peers alone: how hard each seed is for the estimators of ``hard``; ours is not asked.

    python tests/bench/pitch/choose.py --seeds 8401 8402 8403 8404 [--peers librosa.pyin librosa.yin "praat ac"]

One line a seed and peer, raw pitch accuracy within 50 cents by condition; then, for every two seeds together, by how much at most they
are easier than ``hard.ROWS``, and how far from them in the mean. The Python must have the peers.
"""

from __future__ import annotations

import argparse
import itertools
import os
import sys
from pathlib import Path

for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "NUMBA_NUM_THREADS"):
    os.environ.setdefault(name, "1")
HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parents[2])]

import numpy as np  # noqa: E402
from conditions import sound_of  # noqa: E402
from hard import MARGIN, ORDER, ROWS  # noqa: E402
from marks import Line, marks  # noqa: E402
from peers import PEERS  # noqa: E402
from sets import SETS  # noqa: E402
from sung import REGISTERS, sing  # noqa: E402
from voices import MODELS  # noqa: E402


def rows_of(seed: int, peers: list[str], seconds: float) -> dict[str, np.ndarray]:
    """Means over registers and models, by peer; a value a condition of ORDER."""
    said: dict[str, list[list[float]]] = {name: [] for name in peers}
    for register, model in itertools.product(REGISTERS, sorted(MODELS)):
        phrase = sing(register, seed, model, seconds)
        heard = [sound_of(phrase, condition).mic for condition in ORDER]
        for name in peers:
            lines = [PEERS[name].estimate(sound) for sound in heard]
            said[name].append([float(marks(phrase, Line(s, hz, s, 1.0))["RPA50"]) for s, hz in lines])
    return {name: np.mean(rows, axis=0) for name, rows in said.items()}


def main() -> None:
    """Print what was asked for."""
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--seeds", nargs="+", type=int, required=True)
    options.add_argument("--peers", nargs="+", choices=list(ROWS), default=list(ROWS))
    options.add_argument("--seconds", type=float, default=SETS["report"].seconds)
    asked = options.parse_args()
    found = {}
    for seed in asked.seeds:
        found[seed] = rows_of(seed, asked.peers, asked.seconds)
        for name, row in found[seed].items():
            print(f"{seed} {name:13s}" + "  ".join(f"{c} {v:.1f}" for c, v in zip(ORDER, row, strict=True)), flush=True)
    for pair in itertools.combinations(asked.seeds, 2):
        easier = [np.mean([found[seed][name] for seed in pair], axis=0) - ROWS[name] for name in asked.peers]
        most = max(float(np.append(row, row.mean()).max()) for row in easier)
        away = float(np.mean(np.abs(easier)))
        said = "hard enough" if most <= MARGIN else "TOO EASY"
        print(f"{pair[0]} {pair[1]} easier by {most:.1f} at most, {away:.1f} away in the mean: {said}")


if __name__ == "__main__":
    main()
