"""Whole takes through private servers, in which not one block may be flagged, lost or late.

One attempt is four takes side by side on four servers at 48 kHz (JACK and PulseAudio, 256 and 512 frames), each with its loudspeaker
in its microphone, so that the tracker works all the time. Even seeds have the machine to themselves, odd ones beside a process that
keeps a core busy. ``--set take_minutes=0.2`` makes takes shorter, ``--set servers=jack-256,pulse-512`` chooses.

An xrun is a flagged callback, a frame missing in the count, or a line of the server's log. The host of a virtual machine may take its
processors away; a witness above all other priorities (tests/support/witness.py) sees that. An xrun at such a moment is counted apart, as
the machine's; only others are a failure.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any

import psutil
import servers
from busy_beside import busy
from tallies import at_most
from witness import Standstills, standstills

SCRIPT = Path(__file__).resolve().parents[1] / "support" / "watched_take.py"
PHRASE = {
    "soprano": "B4 | F#4 | G#4 | A4 | G#4 | F#4 | E4 | D4 | E4 | F#4 | F#4",
    "alto": "B3 | C#4 | E4 | F#4 | E4 | D4 | B3 | A3 | B3 | C#4 | B3",
    "tenor": "F#3 | A3 | B3 | C#4 | B3 | F#3 | G#3 | A3 | G#3 | F#3 | D#3",
    "bass": "B2 | A2 | G#2 | F#2 | G#2 | B2 | G#2 | F#2 | G#2 | A#2 | B2",
}
PHRASE_SECONDS = 11 * 2.0
"""Eleven bars of four quarters at 120 a minute."""

BEFORE_NS, AFTER_NS = 60_000_000, 10_000_000
"""A flag comes a callback or two after what caused it, a line of the log is read within a look of 20 ms; a machine that stood still twice
within so much is one that stood still."""

ALL = ("jack-256", "jack-512", "pulse-256", "pulse-512")


class Campaign:
    """Four takes an attempt."""

    def __init__(self, scratch: Path, take_minutes: str = "10", servers: str = ",".join(ALL)) -> None:
        self.scratch, self.count, self.takes, self.bad = scratch, 0, 0, 0
        self.clean = self.machines = 0
        self.chosen = servers.split(",")
        self.phrases = max(1, round(60 * float(take_minutes) / PHRASE_SECONDS))
        self.score = scratch / "long.drill"
        lines = [f"{voice} | {' | '.join([words] * self.phrases)} |" for voice, words in PHRASE.items()]
        self.score.write_text("\n".join(["title: Long Ferry", "meter: 4/4", "tempo: 120", "", *lines, ""]))

    def attempt(self, seed: int) -> dict[str, Any]:
        """Fails when anything at all went wrong on any link while the machine ran."""
        began, began_ns = psutil.cpu_times(), time.perf_counter_ns()
        with standstills() as still:
            with busy(seed % 2), ExitStack() as stack:
                running = {name: stack.enter_context(self._take(name)) for name in self.chosen}
                told = {name: self._came(process) for name, process in running.items()}
            spent = psutil.cpu_times()
        for row in told.values():
            split(row, still)
        wrong = {name: words for name, row in told.items() if (words := problems(row, self.seconds))}
        self.takes += len(told)
        self.bad += len(wrong)
        self.clean += sum(not row["flagged"] and not row["log"] and not row["lost_frames"] for row in told.values())
        self.machines += sum(row["machines"] for row in told.values())
        return {
            "beside": seed % 2,
            "load": os.getloadavg()[0],
            "stood_still_ms": round(still.ms_between(began_ns, time.perf_counter_ns())),
            "stolen_s": round(spent.steal - began.steal, 1),
            "idle_s": round(spent.idle - began.idle, 1),
            **told,
            **({"failure": "; ".join(f"{name}: {words}" for name, words in wrong.items())} if wrong else {}),
        }

    @property
    def seconds(self) -> float:
        """How long the music of a take lasts."""
        return self.phrases * PHRASE_SECONDS

    @contextmanager
    def _take(self, name: str) -> Iterator[subprocess.Popen[str]]:
        kind, _, frames = name.partition("-")
        made = servers.jack(period_frames=int(frames)) if kind == "jack" else servers.pulse()
        with made as server:
            env = {**server.env, "HELDLINE_HOME": str(server.folder / "home-of-takes")}
            words = ("sing", self.score, "--voice", "tenor", "--look-through", "0", "--no-log", "--json")
            process = subprocess.Popen(
                [sys.executable, str(SCRIPT), frames, str(server.log), *map(str, words)],
                env=env,
                stdin=subprocess.DEVNULL,
                stdout=subprocess.PIPE,
                stderr=subprocess.PIPE,
                text=True,
            )
            try:
                _leaking(server, kind)
                yield process
            finally:
                process.kill()
                process.communicate()

    def _came(self, process: subprocess.Popen[str]) -> dict[str, Any]:
        out, err = process.communicate(timeout=2 * self.seconds + 120)
        if not out.startswith("{"):
            raise RuntimeError(err[-600:])
        row: dict[str, Any] = json.loads(out)
        row["gaps"] = None if row["gaps"] is None else len(row["gaps"])
        return row

    def summary(self) -> tuple[list[str], bool]:
        """How many takes had a fault."""
        bound = 100 * at_most(self.bad, self.takes) if self.takes else 100.0
        return [
            f"{self.clean} of {self.takes} takes of {self.seconds:.0f} s without any xrun",
            f"{self.machines} xruns while the machine stood still",
            f"{self.bad} takes with an xrun while it ran, at most {bound:.1f} %",
        ], not self.bad


def split(row: dict[str, Any], still: Standstills) -> None:
    """Add how many xruns were the machine's, and the times and words of those that were not."""
    times = [(ns, "flagged") for ns in row.pop("flagged_ns")] + [(ns, line) for ns, line in row["log"]]
    row["log"] = [line for _, line in row["log"]]
    ours = [(ns, what) for ns, what in times if not still.at(ns, before_ns=BEFORE_NS, after_ns=AFTER_NS)]
    row["machines"] = len(times) - len(ours)
    row["ours"] = [what for _, what in ours]
    row["ours_s"] = [round((ns - row["began_ns"]) / 1e9, 2) for ns, _ in ours][:200]


def problems(row: dict[str, Any], seconds: float) -> str:
    """What was wrong with a take that the machine did not do, in words; "" for nothing."""
    found = list(row["ours"])
    if not row["machines"]:
        found += [f"{row[name]} {name}" for name in ("flagged", "lost_frames", "late_frames") if row[name]]
    if row["gaps"] is None or row["status"] not in (0, 5):
        found.append(f"exit status {row['status']}")
    missing_s = seconds - row["callbacks"] * row["block_frames"] / row["rate_hz"]
    if missing_s > row["lost_frames"] / row["rate_hz"] or not row["alive"]:
        found.append(f"{missing_s:.1f} s of callbacks are missing")
    return ", ".join(found)[:600]


def _leaking(server: servers.Server, kind: str) -> None:
    if kind == "pulse":
        servers.leak_through_pulse(server)
        return
    until = time.monotonic() + 30
    while not servers.ports(server, "PortAudio:out_0"):
        if time.monotonic() > until:
            raise RuntimeError("heldline has not come to JACK")
        time.sleep(0.05)
    servers.leak_through_jack(server)
