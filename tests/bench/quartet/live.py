"""Four live lines on JACK: how much of a core heldline and its sound process take while four singers sing, and how often sound was lost.

    python tests/bench/quartet/live.py [--qpm Q]

The singers are processes of their own and not counted. Exit status 1 when it takes more than 60 % of a core or a block was lost.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import sys
import tempfile
import time
from pathlib import Path

import psutil

HERE = Path(__file__).resolve()
sys.path[:0] = [str(HERE.parents[3]), str(HERE.parents[2] / "support")]

import servers  # noqa: E402 - the path is made above
from live_stage import Stage, table_of  # noqa: E402
from quartet_stage import LINES, SCORE, VOICES, joined, recorded, written  # noqa: E402

LIMIT_SHARE = 0.60
WHOLE = (1, 11)


def main() -> int:
    """Print the shares."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--qpm", type=float, default=96, help="quarters a minute (96)")
    qpm = parser.parse_args().qpm
    with (
        servers.jack(microphones=len(VOICES)) as server,
        tempfile.TemporaryDirectory() as folder,
        contextlib.ExitStack() as stack,
    ):
        stage = Stage(server, "jack", Path(folder) / "home")
        paths = recorded(Path(folder), [written(line, WHOLE, qpm) for line in range(len(VOICES))])
        singers = [stack.enter_context(stage.singer(path, 4 * 60 / qpm)) for path in paths]
        for one in singers:
            one.stdin.write("sing\n")
            one.stdin.flush()
        process = stage.heldline("sing", SCORE, "--lines", LINES, "--tempo", qpm, "--look-through", 4, "--plain")
        joined(stage)
        for line in process.stdout:
            if line.startswith("Sing"):
                break
        watched = [psutil.Process(process.pid), *psutil.Process(process.pid).children(recursive=True)]
        began, before = time.perf_counter(), _used(watched)
        last = f"Bar {WHOLE[1] - 1}"
        for line in process.stdout:
            print(line.rstrip())
            if line.startswith(last):
                break
        took, used = time.perf_counter() - began, [b - a for a, b in zip(before, _used(watched), strict=True)]
        process.stdout.read()
        process.wait(60)
        status, table, err = table_of(stage.heldline("review", "--json"))
        assert status == 0, err
        gaps = [gap for take in table["takes"][:1] for gap in take["gaps"]]
    share = sum(used) / took
    print(
        f"{took:.1f} s of singing: {share:.0%} of a core ({', '.join(f'{one / took:.0%}' for one in used)}), "
        f"{len(gaps)} flagged or lost, load {os.getloadavg()[0]:.1f}"
    )
    return 0 if share <= LIMIT_SHARE and not gaps else 1


def _used(processes: list[psutil.Process]) -> list[float]:
    """Processor seconds of each."""
    return [sum(process.cpu_times()[:2]) for process in processes]


if __name__ == "__main__":
    sys.exit(main())
