"""Quartets one to a part, each singer's microphone hearing the other three: which planted faults are found, and what is claimed wrongly.

    python tests/bench/quartet/run.py [--first SEED] [--seeds N] [--bleed DB ...] [--faults N]

Seeds below 1000 were developed on. In one quartet of four a voice is absent, and its microphone hears the others alone. A fault counts as
found where its own note has its sign; right notes beside a fault are left out, since a late note cuts them. Always exits 0.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from collections import Counter
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "support")]

from heldline_command import heldline, save  # noqa: E402 - the path is made above
from planted_takes import STARTS_AT_S, VOICES  # noqa: E402
from quartet import RATE_HZ, Quartet, microphones, plan_quartet  # noqa: E402
from written_music import write_musicxml  # noqa: E402

FOUND = {"off": ("off", "pulled"), "random": ("off", "pulled", "octave")}
"""Signs that name a fault; every other kind is its own sign. A third, or any semitone, may happen to be a neighbour's note."""


def main() -> int:
    """Print a row for each loudness of the bleed."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--first", type=int, default=1000, metavar="SEED")
    parser.add_argument("--seeds", type=int, default=4, metavar="N", help="quartets of each loudness (4)")
    parser.add_argument("--bleed", type=float, nargs="*", default=[15.0, 20.0, 25.0], metavar="DB")
    parser.add_argument("--faults", type=int, default=2, metavar="N", help="in every voice (2)")
    parser.add_argument("--told", action="store_true", help="name what went wrong")
    args = parser.parse_args()
    for bleed_db in args.bleed:
        counts: Counter[str] = Counter()
        for seed in range(args.first, args.first + args.seeds):
            counts += _counted(plan_quartet(seed, bleed_db=bleed_db, faults=args.faults), args.told)
        print(
            f"bleed {bleed_db:g} dB: {counts['found']} of {counts['faults']} faults found, {counts['fault unsure']} unsure; "
            f"of {counts['right']} right notes {counts['wrong']} called wrong, {counts['unsure']} unsure, {counts['breath']} a breath; "
            f"{counts['absent']} absent singers, {counts['absent heard']} heard, of their {counts['absent notes']} notes "
            f"{counts['absent unsure']} unsure",
            flush=True,
        )
    return 0


def _counted(quartet: Quartet, told: bool) -> Counter[str]:
    counts: Counter[str] = Counter()
    for voice, take in zip(VOICES, _takes(quartet), strict=True):
        notes = [note for note in take["notes"] if note["expected"]]
        if voice in quartet.absent:
            signs = [note["sign"] for note in notes]
            counts += Counter({"absent": 1, "absent notes": len(notes), "absent unsure": signs.count("unsure")})
            counts["absent heard"] += take["status"] != "nothing heard"
            continue
        faults = quartet.faults[voice]
        for index, note in enumerate(notes):
            sign = note["sign"]
            if index in faults:
                kind = faults[index]
                counts["faults"] += 1
                counts["found"] += sign in FOUND.get(kind, (kind,))
                counts["fault unsure"] += sign == "unsure"
            elif not {index - 1, index + 1} & set(faults):
                counts["right"] += 1
                counts["wrong"] += sign not in ("held", "breath", "unsure")
                counts["unsure"] += sign == "unsure"
                counts["breath"] += sign == "breath"
            if told and sign not in ("held", *FOUND.get(faults.get(index, ""), (faults.get(index, ""),))):
                print(
                    f"  {quartet.seed} {voice} {index} {faults.get(index, 'right')}: {sign} {note['sung']} for {note['expected']}"
                )
    return counts


def _takes(quartet: Quartet) -> list[dict]:
    sound, _ = microphones(quartet)
    with tempfile.TemporaryDirectory() as folder:
        score = write_musicxml(quartet.piece, Path(folder) / "piece.musicxml")
        save(Path(folder) / "take.wav", sound.astype(np.float32), RATE_HZ)
        lines = ",".join(f"{voice}={number}" for number, voice in enumerate(VOICES, start=1))
        words = ["sing", score, "--lines", lines, "--input", Path(folder) / "take.wav", "--starts-at", STARTS_AT_S]
        done = heldline(*words, "--tempo", f"{quartet.qpm:g}", "--no-log", "--json")
        assert done.status in (0, 5), done.err
        return done.table["takes"]


if __name__ == "__main__":
    sys.exit(main())
