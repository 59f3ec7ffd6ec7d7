"""Four live lines on JACK: how much of a core heldline and its sound process take while four singers sing, and how often sound was lost.

    python tests/bench/quartet/live.py [--qpm Q] [--times N] [--period FRAMES]

The singers are processes of their own and not counted. Where sound was lost at a moment at which the machine itself stood still
(``tests/support/witness.py``) that is counted apart: nothing that runs inside can help it. Exit status 1 when a run takes more than
60 % of a core, or an xrun was not the machine's.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve()
SUPPORT = HERE.parents[2] / "support"
sys.path[:0] = [str(HERE.parents[3]), str(SUPPORT), str(HERE.parents[2] / "campaign")]

import servers  # noqa: E402 - the path is made above
from live_stage import Stage  # noqa: E402
from quartet_stage import LINES, SCORE, VOICES, joined, recorded, written  # noqa: E402
from witness import standstills  # noqa: E402
from xruns import split  # noqa: E402

LIMIT_PERCENT = 60
WHOLE = (1, 11)


def main() -> int:
    """Print a row a run."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--qpm", type=float, default=96, help="quarters a minute (96)")
    parser.add_argument("--times", type=int, default=1, help="runs (1)")
    parser.add_argument("--period", type=int, default=256, metavar="FRAMES", help="of the server (256)")
    args = parser.parse_args()
    bad = 0
    for _ in range(args.times):
        row = _sung(args.qpm, args.period)
        percent = row["parent_percent"] + row["child_percent"]
        print(
            f"{row['seconds']:.0f} s, {row['callbacks']} callbacks of {row['block_frames']} frames: {percent:.0f} % of a core "
            f"(sound process {row['child_percent']:.0f}); {row['flagged']} flagged, {row['lost_frames']} frames lost, "
            f"{row['late_frames']} late; {len(row['ours'])} xruns of ours, {row['machines']} while the machine stood still "
            f"({row['stood_still_ms']:.0f} ms of it); {row['gaps']} gaps in the take; load {os.getloadavg()[0]:.1f}",
            flush=True,
        )
        bad += percent > LIMIT_PERCENT or bool(row["ours"])
    return 1 if bad else 0


def _sung(qpm: float, period_frames: int) -> dict[str, Any]:
    """One run, as ``watched_take.py`` saw its link."""
    with (
        servers.jack(microphones=len(VOICES), period_frames=period_frames) as server,
        tempfile.TemporaryDirectory() as folder,
        contextlib.ExitStack() as stack,
    ):
        stage = Stage(server, "jack", Path(folder) / "home")
        paths = recorded(Path(folder), [written(line, WHOLE, qpm) for line in range(len(VOICES))])
        singers = [stack.enter_context(stage.singer(path, 4 * 60 / qpm)) for path in paths]
        for one in singers:
            one.stdin.write("sing\n")
            one.stdin.flush()
        words = ("sing", SCORE, "--lines", LINES, "--tempo", qpm, "--look-through", 4, "--json")
        process = stage.begin(SUPPORT / "watched_take.py", 0, server.log, *words)
        joined(stage)
        with standstills() as still:
            out, err = process.communicate(timeout=180)
        if not out.startswith("{"):
            raise subprocess.SubprocessError(err[-600:])
        row: dict[str, Any] = json.loads(out)
    began_ns = row["began_ns"]
    split(row, still)
    row["stood_still_ms"] = still.ms_between(began_ns, began_ns + round(row["seconds"] * 1e9))
    row["gaps"] = None if row["gaps"] is None else len(row["gaps"])
    return row


if __name__ == "__main__":
    sys.exit(main())
