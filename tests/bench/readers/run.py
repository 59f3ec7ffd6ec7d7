"""How fast scores are read, beside music21 in the same process, and how long a fresh start takes until a score is read.

    .venv/bin/python tests/bench/readers/run.py [--chorales N] [--movements N] [--short]

Both readers take the same files, ours all of them first, so that the collector of garbage does not look through music21's objects on our
time; the first file of each is not counted. Times are of the processor, so that other work of the
machine counts little; a fresh start is the best of several children, wall clock and processor. ``--short`` fails (exit 1) on the budgets
named below.
"""

from __future__ import annotations

import argparse
import gc
import json
import random
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

ROOT = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "support")]

LEAST_TIMES_MUSIC21 = 6.0
LONGEST_START_S = 0.4
STARTS = 7
FRESH = """
import sys, time, resource
from trainer.formats import read_path
read_path(sys.argv[1])
used = resource.getrusage(resource.RUSAGE_SELF)
print(used.ru_utime + used.ru_stime, "numpy" in sys.modules)
"""


def taken(work: Callable[[], object]) -> float:
    """Seconds of the processor."""
    began = time.process_time()
    work()
    return time.process_time() - began


def beside(files: list[Path]) -> tuple[list[float], list[float]]:
    """Seconds a file, ours and music21's, the first file left out."""
    from other_readers import music21_parsed

    from trainer.formats import read_path

    gc.collect()
    ours = [taken(lambda path=path: read_path(path)) for path in files]
    theirs = [taken(lambda path=path: music21_parsed(path)) for path in files]
    return ours[1:], theirs[1:]


def started(path: Path) -> tuple[float, float]:
    """Wall clock and processor seconds of a fresh Python that reads one score, the best of several."""
    walls, cores = [], []
    for _ in range(STARTS):
        began = time.perf_counter()
        done = subprocess.run(
            [sys.executable, "-c", FRESH, str(path)], cwd=ROOT, capture_output=True, text=True, check=True
        )
        walls.append(time.perf_counter() - began)
        core, numpy_too = done.stdout.split()
        if numpy_too != "False":
            raise RuntimeError("numpy was imported to read a score")
        cores.append(float(core))
    return min(walls), min(cores)


def main() -> int:
    """Exit status."""
    from other_readers import chorales, corpus, movements

    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--chorales", type=int, default=100)
    parser.add_argument("--movements", type=int, default=20)
    parser.add_argument("--short", action="store_true")
    args = parser.parse_args()
    pick = random.Random(2)
    table: dict[str, float] = {}
    # the chorales before anything of music21 is in memory
    for name, files, count in (("chorales", chorales(), args.chorales), ("movements", movements(), args.movements)):
        usable = [path for path in files if "inst" not in path.name]
        ours, theirs = beside(pick.sample(usable, min(12 if args.short else count + 1, len(usable))))
        table |= {f"{name}_ours_ms": 1000 * sum(ours) / len(ours), f"{name}_ours_median_ms": 1000 * median(ours)}
        table |= {f"{name}_music21_ms": 1000 * sum(theirs) / len(theirs), f"{name}_times": sum(theirs) / sum(ours)}
    for name in ("bach/bwv66.6.mxl", "palestrina/Agnus_00.krn"):
        table[f"start_{name}_wall_s"], table[f"start_{name}_cpu_s"] = started(corpus() / name)
    print(json.dumps({key: round(value, 4) for key, value in table.items()}, indent=1))
    fast = table["chorales_times"] >= LEAST_TIMES_MUSIC21
    soon = all(value <= LONGEST_START_S for key, value in table.items() if key.endswith("cpu_s"))
    return 0 if fast and soon else 1


if __name__ == "__main__":
    sys.exit(main())
