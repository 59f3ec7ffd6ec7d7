"""One whole take of the public command with its sound link looked at from within.

``watched_take.py BLOCK_FRAMES LOG WORDS ...`` runs ``heldline WORDS`` with callbacks of so many frames (0: what it asks for itself),
and prints one JSON object: what the link counted until it was closed, the longest wait between two callbacks, the shares of one core
that the parent and the child took, when callbacks were flagged and when the server wrote of xruns into LOG (``time.perf_counter_ns``).
"""

from __future__ import annotations

import contextlib
import dataclasses
import io
import json
import os
import sys
import threading
import time
from pathlib import Path
from typing import Any

import psutil

import audio.devices as devices
from audio.devices._rings import HOST_NS, RECORDS, WRONG
from trainer.cli import main
from trainer.live.take import SETTLED_SECONDS

LOOK_SECONDS = 0.02


class Watched:
    """Looks at the link that the command opens, from its opening to its closing."""

    def __init__(self, block_frames: int, log: Path) -> None:
        self.told: dict[str, Any] = {}
        self._block_frames, self._log = block_frames, log
        self._open = devices.open_sound
        self._wait_ms, self._seen, self._last_ns = 0.0, 0, 0
        self._flagged_ns: list[int] = []
        self._written: list[tuple[int, str]] = []
        self._log_size = self._late_at_first = 0

    def open_sound(self, wish: Any = None) -> Any:
        if self._block_frames:
            wish = dataclasses.replace(wish, block_frames=self._block_frames)
        self._began = time.perf_counter()
        self._link = link = self._open(wish)
        self._opened = time.perf_counter()
        self._child = psutil.Process(link._child.process.pid)
        self._used = self._cpu()
        self._log_size = self._log.stat().st_size
        close, over = link.close, threading.Event()

        def closed() -> None:
            if not over.is_set():
                over.set()
                looker.join()
                self._look()
                self._tell()
            close()

        def looks() -> None:
            while not over.wait(LOOK_SECONDS):
                self._look()

        looker = threading.Thread(target=looks, daemon=True)
        looker.start()
        link.close = closed
        return link

    def _cpu(self) -> tuple[float, float]:
        own = sum(os.times()[:2])
        with contextlib.suppress(psutil.Error):
            return own, sum(self._child.cpu_times()[:2])
        return own, 0.0

    def _look(self) -> None:
        flags = self._link.flags()
        count = flags.callbacks
        if time.perf_counter() - self._opened < SETTLED_SECONDS:
            self._late_at_first = flags.late_frames
        rows = self._link._side._shared.records
        for number in range(max(self._seen, count - RECORDS // 2), count):
            row = rows[number % RECORDS]
            at_ns = int(row[HOST_NS])
            self._wait_ms = max(self._wait_ms, (at_ns - self._last_ns) / 1e6 if self._last_ns else 0.0)
            self._last_ns = at_ns
            if row[WRONG]:
                self._flagged_ns.append(at_ns)
        self._seen = count
        if self._log.stat().st_size > self._log_size:
            with self._log.open(errors="replace") as opened:
                opened.seek(self._log_size)
                text = opened.read()
            self._log_size += len(text.encode())
            now = time.perf_counter_ns()
            self._written += [(now, line) for line in text.splitlines() if "xrun" in line.lower()]

    def _tell(self) -> None:
        passed, flags, link = time.perf_counter() - self._opened, self._link.flags(), self._link
        own, child = (100 * (now - before) / passed for now, before in zip(self._cpu(), self._used, strict=True))
        flagged = flags.last_flagged_frame
        self.told = {
            "seconds": round(passed, 1), "opened_ms": round((self._opened - self._began) * 1000),
            "block_frames": link.block_frames, "rate_hz": link.rate_hz, "callbacks": flags.callbacks,
            "flagged": flags.xruns, "lost_frames": flags.lost_frames, "late_frames": flags.late_frames - self._late_at_first,
            "last_flagged_s": None if flagged is None else round(flagged / link.rate_hz, 2),
            "longest_wait_ms": round(self._wait_ms, 1), "parent_percent": round(own, 1),
            "child_percent": round(child, 1), "flagged_ns": self._flagged_ns, "log": self._written,
            "began_ns": round(self._opened * 1e9), "alive": link.alive,
        }  # fmt: skip


def watched(block_frames: int, log: Path, words: list[str]) -> dict[str, Any]:
    watch = Watched(block_frames, log)
    devices.open_sound = watch.open_sound
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        status = main(words)
    table = json.loads(out.getvalue()) if out.getvalue().startswith("{") else {}
    gaps = table.get("takes", [table])[0].get("gaps")  # of several singers the first, since they share them
    return {**watch.told, "status": status, "gaps": gaps}


if __name__ == "__main__":
    print(json.dumps(watched(int(sys.argv[1]), Path(sys.argv[2]), sys.argv[3:])))
