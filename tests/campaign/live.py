"""The tests on real servers run again and again: not one may fail.

One attempt is all of ``tests/live`` and ``tests/audio/devices`` once, in a pytest of its own. Seeds that leave 4 after division by 5 run
beside a process that keeps a core busy; ``--set beside=N`` has N such processes beside every attempt, and ``--set tests=...`` names other
tests, with commas. Nothing is run twice to make it pass.
"""

from __future__ import annotations

import os
import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path
from typing import Any

from busy_beside import busy
from tallies import at_most

ROOT = Path(__file__).resolve().parents[2]
BUSY_EVERY = 5


class Campaign:
    """One run of all of them an attempt."""

    def __init__(self, scratch: Path, tests: str = "tests/live,tests/audio/devices", beside: str = "") -> None:
        self.scratch, self.count, self.beside = scratch, 0, beside
        self.tests = tests.split(",")
        self.passed = self.failed = 0

    def attempt(self, seed: int) -> dict[str, Any]:
        """Fails when a test does, or is skipped."""
        beside = int(self.beside) if self.beside else int(seed % BUSY_EVERY == BUSY_EVERY - 1)
        report = self.scratch / f"{seed}.xml"
        words = ["-m", "pytest", *self.tests, "-q", "-p", "no:cacheprovider", f"--junit-xml={report}"]
        with busy(beside):
            done = subprocess.run([sys.executable, *words], cwd=ROOT, capture_output=True, text=True, check=False)
        cases = list(ET.parse(report).iter("testcase"))  # noqa: S314 - pytest's own report
        bad = {
            f"{case.get('classname')}::{case.get('name')}": (fault.get("message") or fault.text or "")[:1500]
            for case in cases
            for fault in case
            if fault.tag in ("failure", "error", "skipped")
        }
        self.passed += len(cases) - len(bad)
        self.failed += len(bad)
        told: dict[str, Any] = {"beside": beside, "load": os.getloadavg()[0], "tests": len(cases), "bad": bad}
        if bad or done.returncode != 0 or not cases:
            told["failure"] = f"pytest left with {done.returncode}: {', '.join(bad)}"
        return told

    def summary(self) -> tuple[list[str], bool]:
        """How many tests of how many."""
        bound = 100 * at_most(self.failed, self.passed + self.failed) if self.passed else 100.0
        return [
            f"{self.failed} of {self.passed + self.failed} tests on real servers failed, at most {bound:.2f} %"
        ], not self.failed
