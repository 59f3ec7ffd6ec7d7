"""A set of practice tracks: ten exercises, four voices, three kinds, written as FLAC; how long it takes and how even it is.

    python tests/bench/sound/tracks.py [--exercises N] [--as wav|flac]

Fails when the set costs more than a minute of one core, or when two tracks differ in loudness (ITU-R BS.1770) by more than a decibel.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "support")]

import soundfile  # noqa: E402 - the path is made above
from heldline_command import heldline_child  # noqa: E402

from audio.loudness import loudness_lufs  # noqa: E402
from trainer.library import exercises  # noqa: E402

LIMIT_SECONDS, EVEN_WITHIN_DB = 60.0, 1.0


def main() -> int:
    """1 when the set takes too long or is not even."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--exercises", type=int, default=10, metavar="N", help="how many exercises of four voices (10)")
    parser.add_argument("--as", dest="ending", choices=("wav", "flac"), default="flac", help="format (flac)")
    args = parser.parse_args()
    four = [one.number for one in exercises() if one.parts == 4]
    # the library may have fewer of four voices: the longest way round is to take those again from copies
    chosen = [four[place % len(four)] for place in range(args.exercises)]
    with tempfile.TemporaryDirectory() as folder:
        began, spent_before, sounded = time.perf_counter(), _children_seconds(), 0.0
        files: list[Path] = []
        for turn in range(-(-len(chosen) // len(four))):
            part = chosen[turn * len(four) : (turn + 1) * len(four)]
            place = Path(folder) / str(turn)
            done = heldline_child("track", *part, "-o", place, "--as", args.ending, "--json", timeout_s=600)
            if done.status:
                print(done.err)
                return 1
            sounded += sum(one["length_s"] for one in done.table["tracks"])
            files += sorted(place.iterdir())
        took, spent = time.perf_counter() - began, _children_seconds() - spent_before
        size_mb = sum(path.stat().st_size for path in files) / 1e6
        levels = [
            loudness_lufs(*soundfile.read(path, dtype="float32", always_2d=True))
            for path in files[:: len(files) // 12 or 1]
        ]
    apart = max(levels) - min(levels)
    print(
        f"{len(files)} tracks, {sounded / 60:.0f} minutes of sound, {size_mb:.0f} MB: {took:.1f} s, {spent:.1f} s of the processor, "
        f"{sounded / spent:.0f} times real time"
    )
    print(f"loudness of {len(levels)} of them: {min(levels):.1f} to {max(levels):.1f} LUFS")
    return 0 if spent <= LIMIT_SECONDS * args.exercises / 10 and apart <= EVEN_WITHIN_DB else 1


def _children_seconds() -> float:
    """Processor time of the commands that have ended."""
    times = os.times()
    return times.children_user + times.children_system


if __name__ == "__main__":
    sys.exit(main())
