"""How long each command that looks at kept takes needs with 10,000 of them in the log.

    .venv/bin/python tests/bench/log/run.py [--takes N] [--short]

Takes are of the library's own exercises over three years, each copied from one that was really judged, its pitch line as restless as a
voice's, so that the file has the size that it would have. Times are of whole child processes from their start, the best of five, on the
wall and of the processor, beside the same with forty; the limit is 0.3 s, on an idle machine. ``--short`` fails (exit 1) where the
processor needs more than a limit for machines under load.
"""

from __future__ import annotations

import argparse
import os
import resource
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from audio.heard import PitchFrame

ROOT = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "support")]

LIMIT_S, SHORT_LIMIT_S = 0.3, 0.6
COMMANDS = (
    ("plan",),
    ("tally",),
    ("takes",),
    ("takes", "--json"),
    ("review",),
    ("review", "--json"),
    ("review", "TWIN"),
    ("review", "--why", "5.1"),
    ("review", "TWIN", "--beside", "FIRST"),
    ("singable", "Ferry Bell at Low Water", "--voice", "soprano"),
)


def fill(takes: int) -> tuple[str, str]:
    """A log of so many takes: some really kept one after another, then copied by SQLite itself with other dates and outcomes.

    Returns
    -------
    (str, str)
        Numbers of the first take and of the last one of the same line.
    """
    from heard_frames import as_written, frames
    from kept_takes import EVERYBODY

    from trainer.formats import read_path
    from trainer.library import exercises
    from trainer.log.attempt import Attempt
    from trainer.log.store import Store
    from trainer.places import places
    from trainer.practice.settings import Settings
    from trainer.takes.keeping import count, judge_again, put_verdict

    chance = Random(3)
    scores = [read_path(one.path) for one in exercises()[:20]]
    begin = datetime.now(UTC) - timedelta(days=3 * 365)
    made = []
    with Store(places().takes) as store:
        for k, score in enumerate(scores):
            line = k % len(score.lines)
            attempt = Attempt(
                f"{k:032x}", "2023-01-01T00:00:00Z", "0.1.0", "sung", score, (line,), Settings(),
                heard=tuple(restless(frames(as_written(score, line), float(score.end_quarters) + 1), chance)),
                beside=EVERYBODY,
            )  # fmt: skip
            number = store.put(attempt)
            performance = judge_again(attempt, attempt.settings)
            put_verdict(store, number, attempt.settings, performance)
            count(store, number, attempt, performance)
            made.append(number)
        path = store.path
    raw = sqlite3.connect(path)
    raw.execute("PRAGMA synchronous = OFF")
    names = {
        table: [row[1] for row in raw.execute(f"PRAGMA table_info({table})")]
        for table in ("attempts", "heard", "verdicts", "outcomes", "bar_outcomes", "tried", "judged_before")
    }
    for number in range(len(made) + 1, takes + 1):
        source = chance.choice(made)
        day, turn = divmod(number * 3 * 365, takes)  # an evening's takes one after another
        when = (begin + timedelta(days=day, seconds=90 * turn // (3 * 365))).strftime("%Y-%m-%dT%H:%M:%SZ")
        for table, columns in names.items():
            other = {"number": str(number), "key": f"'{number:032x}'", "started_utc": f"'{when}'", "id": "NULL"}
            if table == "bar_outcomes" and chance.random() < 0.5:
                other["held"] = "CASE WHEN bar = 7 THEN 0 ELSE held END"
            told = ", ".join(other.get(name, name) for name in columns)
            raw.execute(f"INSERT INTO {table} SELECT {told} FROM {table} WHERE number = {source}")  # noqa: S608
    twin = raw.execute("SELECT max(number) FROM outcomes WHERE exercise = 1 AND line = 0").fetchone()[0]
    raw.commit()
    raw.close()
    return "1", str(twin)


def restless(line: Iterable[PitchFrame], chance: Random) -> Iterator[PitchFrame]:
    """The frames as a voice makes them: no two alike."""
    for frame in line:
        yield replace(
            frame,
            f0_c100=frame.f0_c100 + chance.randrange(-400, 400),
            confidence=max(0, frame.confidence - chance.randrange(20)),
            level_db10=frame.level_db10 + chance.randrange(-20, 20),
        )


def best_s(home: Path, words: tuple[str, ...], times: int) -> tuple[float, float]:
    """The quickest of a few runs of one command: seconds on the wall and of the processor; infinite where it fails."""
    env = {**os.environ, "HELDLINE_HOME": str(home), "PYTHONPATH": str(ROOT)}
    found = []
    for _ in range(times):
        began, before = time.perf_counter(), resource.getrusage(resource.RUSAGE_CHILDREN)
        done = subprocess.run(
            [sys.executable, "-m", "trainer", *words], env=env, cwd=home, capture_output=True, check=False
        )
        after, failed = resource.getrusage(resource.RUSAGE_CHILDREN), float("inf") if done.returncode else 0.0
        used = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
        found.append((time.perf_counter() - began + failed, used + failed))
    return min(wall for wall, _ in found), min(used for _, used in found)


def main() -> int:
    """Exit status."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--takes", type=int, default=10_000)
    parser.add_argument("--times", type=int, default=5, help="runs of each command")
    parser.add_argument("--short", action="store_true", help="fail beyond a limit for busy machines")
    args = parser.parse_args()
    from trainer.places import places

    limit = SHORT_LIMIT_S if args.short else LIMIT_S
    late = []
    with tempfile.TemporaryDirectory() as folder:
        small, large = Path(folder) / "small", Path(folder) / "large"
        named = {}
        for home, takes in ((small, 40), (large, args.takes)):
            os.environ["HELDLINE_HOME"] = str(home)
            named[home] = dict(zip(("FIRST", "TWIN"), fill(takes), strict=True))
        size = places().takes.stat().st_size / 1e6
        print(f"{args.takes} takes, {size:.0f} MB")
        for words in COMMANDS:
            before, now = (
                best_s(home, tuple(named[home].get(word, word) for word in words), args.times)
                for home in (small, large)
            )
            print(
                f"{' '.join(words):<56}{now[0]:6.2f} s, processor {now[1]:.2f} s  (40 takes: {before[0]:.2f}, {before[1]:.2f} s)"
            )
            if now[1 if args.short else 0] > limit:
                late.append(" ".join(words))
    for told in late:
        print(f"over {limit:g} s: {told}")
    return 1 if late else 0


if __name__ == "__main__":
    sys.exit(main())
