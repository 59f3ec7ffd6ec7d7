"""How long each command that looks at kept takes needs with 10,000 of them in the log.

    .venv/bin/python tests/bench/log/run.py [--takes N] [--short]

Takes are of the library's own exercises over three years, every line of each, with the pitch line of one that was really judged (44 s of
eleven bars), so that the file has the size that it would have. Times are of whole child processes from their start, the best of five,
beside the same with an empty log; the limit is 0.3 s on an idle machine. ``--short`` fails (exit 1) beyond a limit for machines under load.
"""

from __future__ import annotations

import argparse
import os
import sqlite3
import subprocess
import sys
import tempfile
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path
from random import Random

ROOT = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "support")]

LIMIT_S, SHORT_LIMIT_S = 0.3, 1.0
COMMANDS = (
    ("plan",),
    ("tally",),
    ("takes",),
    ("takes", "--json"),
    ("review",),
    ("review", "--json"),
    ("review", "5000"),
    ("review", "--why", "5.1"),
    ("review", "5000", "--beside", "4999"),
    ("singable", "Ferry Bell at Low Water", "--voice", "tenor"),
)


def fill(takes: int) -> None:
    """A log of so many takes: some really kept one after another, then copied by SQLite itself with other dates and outcomes."""
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
    scores = [read_path(one.path) for one in exercises()]
    begin = datetime.now(UTC) - timedelta(days=3 * 365)
    made = []
    with Store(places().takes) as store:
        for k, score in enumerate(scores):
            line = k % len(score.lines)
            attempt = Attempt(
                f"{k:032x}", "2023-01-01T00:00:00Z", "0.1.0", "sung", score, (line,), Settings(),
                heard=tuple(frames(as_written(score, line), float(score.end_quarters) + 1)), beside=EVERYBODY,
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
        when = (begin + timedelta(days=3 * 365 * number / takes)).strftime("%Y-%m-%dT%H:%M:%SZ")
        for table, columns in names.items():
            other = {"number": str(number), "key": f"'{number:032x}'", "started_utc": f"'{when}'", "id": "NULL"}
            if table == "bar_outcomes" and chance.random() < 0.5:
                other["held"] = "CASE WHEN bar = 7 THEN 0 ELSE held END"
            told = ", ".join(other.get(name, name) for name in columns)
            raw.execute(f"INSERT INTO {table} SELECT {told} FROM {table} WHERE number = {source}")  # noqa: S608
    raw.commit()
    raw.close()


def best_s(home: Path, words: tuple[str, ...], times: int = 5) -> float:
    """The quickest of a few runs of one command, seconds from its start to its end; infinite where it fails."""
    env = {**os.environ, "HELDLINE_HOME": str(home), "PYTHONPATH": str(ROOT)}
    found = []
    for _ in range(times):
        began = time.perf_counter()
        done = subprocess.run(
            [sys.executable, "-m", "trainer", *words], env=env, cwd=home, capture_output=True, check=False
        )
        found.append(time.perf_counter() - began if done.returncode == 0 else float("inf"))
    return min(found)


def main() -> int:
    """Exit status."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--takes", type=int, default=10_000)
    parser.add_argument("--short", action="store_true", help="fail beyond a limit for busy machines")
    args = parser.parse_args()
    from trainer.places import places

    limit = SHORT_LIMIT_S if args.short else LIMIT_S
    late = []
    with tempfile.TemporaryDirectory() as folder:
        small, large = Path(folder) / "small", Path(folder) / "large"
        for home, takes in ((small, 20), (large, args.takes)):
            os.environ["HELDLINE_HOME"] = str(home)
            fill(takes)
        size = places().takes.stat().st_size / 1e6
        print(f"{args.takes} takes, {size:.0f} MB")
        for words in COMMANDS:
            few = tuple("20" if word == "5000" else "19" if word == "4999" else word for word in words)
            before, now = best_s(small, few), best_s(large, words)
            print(f"{' '.join(words):<50}{now:6.2f} s  (with 20 takes {before:.2f} s)")
            if now > limit:
                late.append(" ".join(words))
    for told in late:
        print(f"over {limit:g} s: {told}")
    return 1 if late else 0


if __name__ == "__main__":
    sys.exit(main())
