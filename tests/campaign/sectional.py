"""A rehearsal of a whole section on a private PulseAudio, led by script, as long as it is wanted: nothing lost, memory flat.

One attempt is one rehearsal: rounds together, seven desks one after another of whom three follow the soprano in bar 5, what it came to,
the drill that it proposes, and so on until its time is over (``--set minutes=25``, as long as a sectional is; ``--set desks=7``). The last
cycle is played to its end. It fails where a turn is not in the log, where a bar is told otherwise than it was planted, where a frame
of any turn was lost, or where the program has grown: the middle of its memory in the last third of the cycles against that in the second.
"""

from __future__ import annotations

import json
import statistics
import time
from pathlib import Path
from typing import Any

import psutil
import servers
from live_stage import Stage
from section_stage import Leader, led, section_of_singers

from audio.heard import Gap
from trainer.library import resolve
from trainer.log.store import Store

TITLE, ALTO, BARS, QPM = "Rope over the Sluice", 1, (3, 6), 96
PULLED_NOTES = (4, 5)
"""Of the bars: both notes of bar 5."""
FOLLOWERS = (1, 3, 4)
LOST = "sound was lost"
"""As the tracker says it of frames that never came."""
GROWN_MB = 8.0
"""A numpy array of a take or a page of SQLite more or less; a take that stayed in memory would be 4 MB each."""


class Campaign:
    """One rehearsal an attempt."""

    def __init__(self, scratch: Path, minutes: str = "25", desks: str = "7", tempo: str = str(QPM)) -> None:
        self.scratch, self.count, self.bad = scratch, 0, 0
        self.minutes, self.desks, self.tempo = float(minutes), int(desks), float(tempo)
        self.turns = 0
        self.slowest_s = 0.0

    def attempt(self, seed: int) -> dict[str, Any]:
        """Fails when anything was lost, told wrong, or has grown."""
        folder = self.scratch / str(seed)
        folder.mkdir()
        score = resolve(TITLE)
        singers = section_of_singers(
            folder, score, ALTO, BARS, self.tempo, count=self.desks, followers=FOLLOWERS, pulled=PULLED_NOTES, seed=seed
        )
        with servers.pulse() as server:
            stage = Stage(server, "pulse", folder / "home")
            leader = led(stage, TITLE, "--voice", "alto", "--tempo", self.tempo, "--desks", self.desks)
            told = self._rehearsed(leader, singers)
            status, lines = leader.left()
            process = stage.heldline("sectional", TITLE, "--voice", "alto", "--result", "--json")
            table = json.loads(process.communicate(timeout=60)[0])
        told |= self._kept(folder / "home")
        wrong = self._wrong(table)
        if status != 0 or wrong or told["lost_frames"] or told["kept"] != told["sung"] or told["grown_mb"] > GROWN_MB:
            self.bad += 1
            told["failure"] = f"status {status}; {'; '.join(wrong)}; {told}; {lines[-3:]}"[:900]
        return told

    def _rehearsed(self, leader: Leader, singers: list[Path]) -> dict[str, Any]:
        began, sung, rounds, memory, six_s = time.monotonic(), 0, 0, [], 0.0
        process = psutil.Process(leader.process.pid)
        leader.until("Now: bar")
        while True:
            rounds += self._together(leader, singers)
            leader.type("t")
            leader.until("Now: next")
            leader.type("b", f"{BARS[0]}-{BARS[1]}")
            leader.until("Bars 3-6")
            turns_s = time.monotonic()
            for number, singer in enumerate(singers, start=1):
                leader.type("")  # the one key between two singers
                leader.sings(singer)
                leader.until("Now: ", 90)
                sung += 1
                if number == 6:
                    six_s = max(six_s, time.monotonic() - turns_s)
            memory.append(sum(one.memory_info().rss for one in (process, *process.children(recursive=True))) / 1e6)
            leader.type("")  # the drill that is proposed
            leader.until("Sing", 90)
            if time.monotonic() - began >= 60 * self.minutes:
                break
            leader.type("")
            leader.until("Notice: Stopped", 60)
        leader.type("q")
        third = len(memory) // 3
        grown = statistics.median(memory[-third:]) - statistics.median(memory[third : 2 * third]) if third else 0.0
        self.turns += sung
        self.slowest_s = max(self.slowest_s, six_s)
        return {
            "minutes": round((time.monotonic() - began) / 60, 2), "sung": sung, "rounds": rounds, "six_desks_s": round(six_s, 1),
            "memory_mb": [round(one, 1) for one in memory], "grown_mb": round(grown, 2),
        }  # fmt: skip

    def _together(self, leader: Leader, singers: list[Path]) -> int:
        """Two rounds of everybody at once, one key to begin and one to stop."""
        leader.type("")
        for _ in range(2):
            leader.sings(*singers[:3])
        leader.type("")
        leader.until("Notice: Stopped", 60)
        leader.hush()
        return 1

    def _wrong(self, table: dict[str, Any]) -> list[str]:
        followers = sum(one < self.desks for one in FOLLOWERS)
        by_bar = {bar["bar"]: bar for bar in table["bars"]}
        wrong = [] if table["heard"] == self.desks else [f"{table['heard']} of {self.desks} heard"]
        for bar in range(BARS[0], BARS[1] + 1):
            held = self.desks - followers if bar == 5 else self.desks
            if bar not in by_bar or (by_bar[bar]["sang"], by_bar[bar]["held"]) != (self.desks, held):
                wrong.append(f"bar {bar}: {by_bar.get(bar)}, and {held} of {self.desks} held it")
        if by_bar.get(5, {}).get("pulled_to") != {"soprano": followers}:
            wrong.append(f"bar 5: pulled to {by_bar.get(5, {}).get('pulled_to')}")
        return wrong

    def _kept(self, home: Path) -> dict[str, Any]:
        """How many turns are in the log, and how many frames of them were lost."""
        lost = kept = 0
        with Store(home / "takes.db") as store:
            for entry in store.entries():
                attempt = store.get(entry.number)
                kept += bool(attempt.beside.desk) and attempt.whole
                lost += sum(
                    one.to_frame - one.from_frame for one in attempt.heard if isinstance(one, Gap) and one.why == LOST
                )
        return {"kept": kept, "lost_frames": lost}

    def summary(self) -> tuple[list[str], bool]:
        """Turns, and the slowest six desks."""
        return [
            f"{self.turns} turns in {self.count} rehearsals, {self.bad} rehearsals with a fault; six desks of four bars took "
            f"{self.slowest_s:.0f} s at most"
        ], not self.bad
