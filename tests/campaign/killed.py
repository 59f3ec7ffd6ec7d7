"""A judging killed with no warning, at a random moment: what was kept before stays whole, and the next take is as if nothing had been."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import numpy as np
import slips
from heldline_command import heldline_child, save
from simulated_singer import Throat, sing
from written_music import FERRY_BELL, write_musicxml

ROOT = Path(__file__).resolve().parents[2]


class Campaign:
    """One killing an attempt, all in one home, so that harm would add up."""

    def __init__(self, scratch: Path) -> None:
        self.count, self.landed = 0, 0
        self.home = scratch / "home"
        self.env = {**os.environ, "HELDLINE_HOME": str(self.home), "PYTHONPATH": str(ROOT)}
        score = write_musicxml(FERRY_BELL, scratch / "piece.musicxml")
        take = sing(
            slips.as_written(FERRY_BELL, "alto"), seed=1, seconds=slips.whole_s(FERRY_BELL), throat=Throat("women")
        )
        self.work = scratch / "work"
        self.work.mkdir()
        recording = save(scratch / "take.wav", take.samples, take.rate_hz)
        self.words = tuple(
            map(str, ("sing", score, "--voice", "alto", "--input", recording, "--starts-at", "0.5", "--json"))
        )
        began = time.monotonic()
        self.reference = heldline_child(*self.words, env=self.env)
        self.whole_s = time.monotonic() - began
        if self.reference.status != 0:
            raise RuntimeError(self.reference.err)
        self.kept = self._takes()

    def _takes(self) -> int:
        """How many takes are listed."""
        done = heldline_child("takes", "--json", env=self.env)
        if done.status != 0:
            raise RuntimeError(f"takes cannot be listed: {done.err}")
        return sum(isinstance(value, list) and len(value) for value in done.table.values())

    def attempt(self, seed: int) -> dict[str, Any]:
        """Fails when anything that was kept is lost or damaged, or the next judging differs."""
        after_s = float(np.random.default_rng(seed).uniform(0.02, 1.05)) * self.whole_s
        child = subprocess.Popen(
            [sys.executable, "-m", "trainer", *self.words],
            cwd=self.work,
            env=self.env,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            stdin=subprocess.DEVNULL,
        )
        try:
            child.wait(after_s)
        except subprocess.TimeoutExpired:
            child.send_signal(signal.SIGKILL)
        landed = child.wait() == -signal.SIGKILL
        self.landed += landed
        told: dict[str, Any] = {"after_s": round(after_s, 3), "killed": landed}
        problems = [str(path) for path in self.work.iterdir()]
        for database in self.home.rglob("*.db"):
            opened = sqlite3.connect(f"file:{database}?mode=ro", uri=True)
            try:
                if opened.execute("PRAGMA integrity_check").fetchone() != ("ok",):
                    problems.append(f"{database.name} is damaged")
            finally:
                opened.close()
        takes = self._takes()
        if takes < self.kept:
            problems.append(f"{self.kept} takes were kept, {takes} are left")
        if takes > self.kept + 1:
            problems.append(f"one take became {takes - self.kept}")
        again = heldline_child(*self.words, env=self.env)
        if again.out != self.reference.out:
            problems.append(f"the next judging differs: {again.err[:200]}")
        if takes == self._takes():
            problems.append("the next take is not kept")
        self.kept = self._takes()
        if problems:
            told["failure"] = "; ".join(problems)
        return told

    def summary(self) -> tuple[list[str], bool]:
        """How many blows landed while it ran."""
        return [f"{self.landed} of {self.count} judgings were killed before they ended"], True
