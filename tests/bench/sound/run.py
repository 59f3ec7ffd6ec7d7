"""What a link costs and whether it holds: start-up, the child's share of a core, xruns, and the longest wait between callbacks.

Each set-up runs alone and beside one busy process on private servers (tests/support/servers.py); the parent lays sound 0.3 s ahead and
reads every 20 ms, as a take does. A row: server, block, beside, seconds, opened in ms, callbacks, xruns (flagged callbacks), lost
frames, late frames, longest gap in ms, child % of one core, parent % of one core, xrun lines of the server's log.

``python tests/bench/sound/run.py --seconds 60``; ``--short`` is 4 s of each without the busy ones, and fails when a link is not alive
at the end or its frames do not add up; nothing is asserted of xruns there, because the machine may be busy.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import psutil

HERE = Path(__file__).resolve()
sys.path[:0] = [str(HERE.parents[3]), str(HERE.parents[2] / "support")]

import servers  # noqa: E402

from audio.devices import SoundWish, open_sound  # noqa: E402
from audio.devices._rings import HOST_NS  # noqa: E402

AHEAD_SECONDS = 0.3


@contextlib.contextmanager
def busy(how_many: int) -> Iterator[None]:
    """Processes that each keep a core busy with Python."""
    running = [subprocess.Popen([sys.executable, "-c", "while True: sum(range(1000))"]) for _ in range(how_many)]
    try:
        yield
    finally:
        for process in running:
            process.kill()
            process.wait()


def one(server: servers.Server, block_frames: int | None, seconds: float) -> tuple[str, bool]:
    """A link's row, and whether it held."""
    for name in servers.NAMES:
        os.environ.pop(name, None)
    os.environ.update({name: server.env[name] for name in servers.NAMES if name in server.env})
    began = time.perf_counter()
    with open_sound(SoundWish(block_frames=block_frames)) as link:
        opened_ms = (time.perf_counter() - began) * 1000
        child = psutil.Process(link._child.process.pid)  # type: ignore[attr-defined]
        at = link.write_until() + 4_800
        tone = (0.05 * np.sin(2 * np.pi * 220 * np.arange(link.rate_hz) / link.rate_hz)).astype(np.float32)
        tone = np.repeat(tone[:, None], 2, axis=1)
        cpu, own, started = sum(child.cpu_times()[:2]), sum(os.times()[:2]), time.perf_counter()
        before = link.flags()
        stamps: list[float] = []
        frames, first, seen = 0, None, before.callbacks
        while time.perf_counter() - started < seconds and link.alive:
            while at < link.write_until() + AHEAD_SECONDS * link.rate_hz:
                link.play(at, tone[: link.rate_hz // 10])
                at += link.rate_hz // 10
            for block in link.read():
                first = block.start_frame if first is None else first
                frames = block.end_frame
            rows = link._side._shared.records  # type: ignore[attr-defined]
            stamps += [float(rows[number % len(rows), HOST_NS]) / 1e9 for number in range(seen, link.flags().callbacks)]
            seen = link.flags().callbacks
            time.sleep(0.02)
        passed = time.perf_counter() - started
        alive, after = link.alive, link.flags()
        child_percent = (sum(child.cpu_times()[:2]) - cpu) * 100 / passed
        own_percent = (sum(os.times()[:2]) - own) * 100 / passed
        holds = alive and abs((frames - (first or 0)) / link.rate_hz - passed) < 0.5
        gap_ms = float(np.max(np.diff(stamps))) * 1000 if len(stamps) > 1 else 0.0
        xruns = max(after.overflows - before.overflows, after.underflows - before.underflows)
        logged = server.log.read_text(errors="replace").count("XRun")
        row = (
            f"{passed:5.0f} s  opened {opened_ms:4.0f} ms  callbacks {after.callbacks - before.callbacks:6d}  xruns {xruns:3d}  "
            f"lost {after.lost_frames - before.lost_frames:6d}  late {after.late_frames - before.late_frames:5d}  "
            f"gap {gap_ms:5.1f} ms  child {child_percent:4.1f} %  parent {own_percent:4.1f} %  log {logged}"
        )
    return row, holds


def main() -> int:
    """Print one row a set-up."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--short", action="store_true")
    args = parser.parse_args()
    seconds = 4.0 if args.short else args.seconds
    held = True
    for beside in (0,) if args.short else (0, 1):
        for period in (256, 512):
            with servers.jack(period_frames=period) as server, busy(beside):
                row, good = one(server, None, seconds)
                held &= good
                print(f"JACK  {period}  beside {beside}  {row}", flush=True)
            with servers.pulse() as server, busy(beside):
                row, good = one(server, period, seconds)
                held &= good
                print(f"Pulse {period}  beside {beside}  {row}", flush=True)
    print(f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores; {'held' if held else 'DID NOT HOLD'}")
    return 0 if held else 1


if __name__ == "__main__":
    sys.exit(main())
