"""Takes killed with no warning, at a random moment: no more than a second is lost, what was kept before stays whole, the next is as ever.

An attempt kills eight live takes side by side in one home (``tests/support/killed_take.py``), some of them in their last half
second or while they are put away, and one judging of a recording.
"""

from __future__ import annotations

import hashlib
import os
import signal
import sqlite3
import subprocess
import sys
import time
from collections import Counter
from contextlib import closing
from pathlib import Path
from typing import Any

import killed_take
import numpy as np
import slips
from heldline_command import heldline_child, save
from simulated_singer import Throat, sing
from written_music import FERRY_BELL, write_musicxml

from trainer.places import places
from trainer.takes.keeping import open_store

ROOT = Path(__file__).resolve().parents[2]
SIDE_BY_SIDE = 8
MAY_BE_LOST_S = 1.0
LAST_S, LATE_S = 0.5, 0.2
PUT_AWAY = 0.2
"""A take is in the database within some 30 ms of its verdict."""

WHERE = {killed_take.BEFORE: "take", killed_take.TAKEN: "putting away", killed_take.KEPT: "end"}


def _moment(k: int, chance: np.random.Generator) -> tuple[float, float]:
    """Seconds of sound, and how long after them: half somewhere in the take, a quarter near its end, a quarter once it is judged."""
    late_s = float(chance.uniform(0.0, LATE_S))
    if k % 4 == 3:
        return 2 * killed_take.WHOLE_S, late_s * PUT_AWAY
    first = killed_take.WHOLE_S - LAST_S if k % 4 == 1 else 0.0
    return float(chance.uniform(first, killed_take.WHOLE_S)), late_s


class Campaign:
    """All in one home, so that harm would add up."""

    def __init__(self, scratch: Path) -> None:
        self.count, self.judgings, self.live, self.worst_s = 0, 0, 0, 0.0
        self.home = scratch / "home"
        os.environ["HELDLINE_HOME"] = str(self.home)
        self.env = {**os.environ, "PYTHONPATH": str(ROOT)}
        self.sound = killed_take.microphone()
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
        self.kept = self._rows()

    def attempt(self, seed: int) -> dict[str, Any]:
        """Fails when anything that was kept is lost or damaged, more than a second of a take is, or the next judging differs."""
        chance = np.random.default_rng(seed)
        told = self._live_takes(chance)
        judging = self._judging(float(chance.uniform(0.02, 1.05)) * self.whole_s)
        problems = [*told.pop("wrong"), *judging.pop("wrong"), *(str(path) for path in self.work.iterdir())]
        told |= judging
        problems += [f"{path.name} cannot be read" for path in self.home.rglob("*.unreadable")]
        again = heldline_child(*self.words, env=self.env)
        if again.out != self.reference.out:
            problems.append(f"the next judging differs: {again.err[:200]}")
        rows = self._rows()
        if changed := [key for key, digest in self.kept.items() if rows.get(key) != digest]:
            problems.append(f"{len(changed)} takes that were kept are lost or changed")
        self.kept = rows
        if problems:
            told["failure"] = "; ".join(problems)
        return told

    def _live_takes(self, chance: np.random.Generator) -> dict[str, Any]:
        """Eight at once, every second one killed near its end; each is whole in the database but for a second at the most."""
        moments = [_moment(k, chance) for k in range(SIDE_BY_SIDE)]
        blows = [killed_take.begun(self.sound, places(), mark, *at) for mark, at in enumerate(moments, start=1)]
        killed_take.ended(blows)
        with open_store(places(), lambda _: None) as store:
            new = [store.get(entry.number) for entry in store.entries() if entry.key not in self.kept]
        wrong = [] if len({one.settings for one in new}) == len(new) else ["one take became two"]
        losses = []
        for blow in blows:
            mine = next((one for one in new if one.settings.tolerance_cents == blow.mark), None)
            try:
                losses.append(round(killed_take.lost_s(blow, mine), 3))
            except AssertionError as err:
                wrong.append(str(err)[:200])
        if max(losses, default=0.0) > MAY_BE_LOST_S:
            wrong.append(f"{max(losses):.2f} s of a take are lost")
        self.live += sum(blow.landed for blow in blows)
        self.worst_s = max([self.worst_s, *losses])
        after = [round(blow.at_s, 3) for blow in blows if blow.landed]
        how_far = Counter(WHERE[blow.looked()[1]] for blow in blows if blow.landed)
        return {"live_after_s": after, "landed_in": dict(how_far), "lost_s": losses, "wrong": wrong}

    def _judging(self, after_s: float) -> dict[str, Any]:
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
        self.judgings += landed
        wrong = []
        for database in self.home.rglob("*.db"):
            with closing(sqlite3.connect(database)) as opened:  # one that was being written is rolled back here
                if opened.execute("PRAGMA integrity_check").fetchone() != ("ok",):
                    wrong.append(f"{database.name} is damaged")
        return {"after_s": round(after_s, 3), "killed": landed, "wrong": wrong}

    def _rows(self) -> dict[str, str]:
        """Every kept take's key with a digest of all that was heard in it."""
        with closing(sqlite3.connect(places().takes)) as opened:
            rows = opened.execute("SELECT * FROM attempts ORDER BY number").fetchall()
            heard = dict(opened.execute("SELECT number, group_concat(hex(packed)) FROM heard GROUP BY number"))
        return {row[1]: hashlib.sha256(repr((row, heard.get(row[0]))).encode()).hexdigest() for row in rows}

    def summary(self) -> tuple[list[str], bool]:
        """How many blows landed while something ran, and the most that was lost."""
        return [
            f"{self.live} live takes and {self.judgings} judgings were killed before they ended, in {self.count} attempts; "
            f"{len(self.kept)} takes are kept, and at most {self.worst_s:.2f} s of one were lost"
        ], True
