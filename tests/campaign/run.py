"""Long runs that can be stopped and taken up again: the same attempt again and again from one seed after the other.

    .venv/bin/python tests/campaign/run.py NAME [--minutes M | --attempts N] [--results FOLDER] [--seed N] [--set NAME=VALUE ...]

Each run writes one dated file of JSON lines into the results folder (``tests/campaign/results``, not kept by git): a head with commit,
machine and Python, then one line an attempt with its seed, flushed at once. The next run goes on after the highest seed that any file of
that campaign holds, so no hour is spent twice; ``--seed`` begins elsewhere, as for repeating one failure, and ``--attempts`` counts
instead of timing. ``--set`` gives a campaign what its own words say it can be told. Exit 1 when an attempt failed or the campaign's own
measure over this run was missed.
"""

from __future__ import annotations

import argparse
import contextlib
import ctypes
import importlib
import json
import os
import platform
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterable
from datetime import UTC, datetime
from itertools import count
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "support"), str(HERE)]
# asked when numpy and the like are imported; two runs at once shall have a core each
for _library in ("OPENBLAS", "OMP", "MKL", "NUMBA"):
    os.environ.setdefault(f"{_library}_NUM_THREADS", "1")

from quick_steps import quick_steps  # noqa: E402

CAMPAIGNS = (
    "verdicts",
    "nobody",
    "loudspeaker",
    "readers",
    "scores",
    "fuzz",
    "killed",
    "days",
    "mutants",
    "xruns",
    "live",
    "compose",
    "ladder",
    "sectional",
)
LISTENING = ("verdicts", "nobody", "loudspeaker", "ladder")
"""Those that track hours of sound in this very process."""

FIRST_SEED = 1_000_000
"""Away from the seeds that the tests and benches use."""


M_TRIM_THRESHOLD, M_MMAP_THRESHOLD = -1, -3
KEPT_BYTES = 1 << 30


def keep_memory() -> None:
    """Have glibc keep what it freed: else every sound gets fresh pages, and clearing them takes as long as the arithmetic."""
    with contextlib.suppress(AttributeError, OSError, TypeError):  # another C library
        mallopt = ctypes.CDLL(None).mallopt
        mallopt(M_MMAP_THRESHOLD, KEPT_BYTES)
        mallopt(M_TRIM_THRESHOLD, KEPT_BYTES)


def commit() -> str:
    """The commit that is tested, with a plus when the checkout differs from it."""
    told = subprocess.run(
        ["git", "rev-parse", "--short=12", "HEAD"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    changed = subprocess.run(["git", "status", "--porcelain"], cwd=ROOT, capture_output=True, text=True, check=False)
    return (told.stdout.strip() or "unknown") + ("+" if changed.stdout.strip() else "")


def next_seed(results: Path, name: str) -> int:
    """One after the highest seed of any earlier run."""
    highest = FIRST_SEED - 1
    for place in results.glob(f"{name}-*.jsonl"):
        for line in place.read_text(encoding="utf-8").splitlines():
            try:
                highest = max(highest, int(json.loads(line).get("seed", 0)))
            except ValueError:  # the line that was being written when the machine stopped
                continue
    return highest + 1


def main() -> int:
    """Exit status."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("campaign", choices=CAMPAIGNS)
    parser.add_argument("--minutes", type=float, default=10.0)
    parser.add_argument("--attempts", type=int, default=None, help="so many, however long they take")
    parser.add_argument("--results", type=Path, default=HERE / "results")
    parser.add_argument("--seed", type=int, default=None)
    parser.add_argument("--set", type=pair, action="append", default=[], metavar="NAME=VALUE", dest="told")
    args = parser.parse_args()
    args.results.mkdir(parents=True, exist_ok=True)
    seed = next_seed(args.results, args.campaign) if args.seed is None else args.seed
    stamp = datetime.now(UTC).strftime("%Y-%m-%dT%H%M%SZ")
    place = args.results / f"{args.campaign}-{stamp}.jsonl"
    with tempfile.TemporaryDirectory() as folder, open(place, "x", encoding="utf-8") as out:
        if args.campaign in LISTENING:
            keep_memory()
            quick_steps()
        campaign = importlib.import_module(args.campaign).Campaign(Path(folder), **dict(args.told))
        write(out, {"campaign": args.campaign, "began": stamp, "commit": commit(), "python": platform.python_version(),
                    "machine": platform.platform(), **dict(args.told)})  # fmt: skip
        seeds = count(seed) if args.attempts is None else range(seed, seed + args.attempts)
        until = time.monotonic() + 60 * args.minutes if args.attempts is None else float("inf")
        failed = attempts(campaign, out, seeds, until=until)
    lines, good = campaign.summary()
    print("\n".join(lines))
    for said in failed[:20]:
        print(f"failed: {said}")
    print(f"{args.campaign}: {campaign.count} attempts, {len(failed)} failed; {place}")
    return 0 if good and not failed and campaign.count else 1


def pair(text: str) -> tuple[str, str]:
    """A name and its value."""
    name, equals, value = text.partition("=")
    if not equals:
        raise argparse.ArgumentTypeError(f"{text!r} is not NAME=VALUE")
    return name, value


def attempts(campaign: Any, out: Any, seeds: Iterable[int], *, until: float) -> list[str]:
    """Attempt after attempt until the time or the seeds are over; what failed, in words."""
    failed = []
    for seed in seeds:
        if time.monotonic() >= until or getattr(campaign, "whole", False):
            break
        began = time.monotonic()
        try:
            told: dict[str, Any] = campaign.attempt(seed)
        except Exception as err:  # whatever it is belongs into the results, with its seed
            told = {"failure": f"{type(err).__name__}: {err}"[:600]}
        campaign.count += 1
        write(out, {"seed": seed, "seconds": round(time.monotonic() - began, 2), **told})
        if "failure" in told:
            failed.append(f"seed {seed}: {told['failure']}")
    return failed


def write(out: Any, table: dict[str, Any]) -> None:
    """One line, on the disk at once."""
    out.write(json.dumps(table, ensure_ascii=False) + "\n")
    out.flush()


if __name__ == "__main__":
    sys.exit(main())
