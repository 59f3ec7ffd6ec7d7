"""Measure the pitch tracker, beside every peer that is here and the Cramér-Rao bound: one command, one set of tables.

    .venv/bin/python tests/bench/pitch/run.py [--set report] [--peers all] [--peer-python PYTHON] [--parts sung bound clips]

First table: raw pitch accuracy within 50, 25, 10 and 5 cents, median error, octave errors (of all sung frames), voicing recall and
false alarm (mir_eval.melody), the median error of a note, the time from a vowel's first sample to the frame that makes it known
to 20 cents, and audio seconds a CPU second (ours fed 512 frames at a time); by condition, then by register. Then whether the set
is as hard as it must be, the fine error beside the bound, and two real clips. ``peers`` says how the peers are set up; a peer's
lines are kept in the user's cache by set, so that its second run costs nothing.
"""

from __future__ import annotations

import argparse
import ast
import hashlib
import inspect
import os
import subprocess
import sys
import tempfile
from pathlib import Path

for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "NUMBA_NUM_THREADS"):
    os.environ.setdefault(name, "1")
HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parents[2]), str(HERE.parents[1] / "support")]

import numpy as np  # noqa: E402
import platformdirs  # noqa: E402
from bound import bound_table  # noqa: E402
from clips import clip_table  # noqa: E402
from hard import hardness_table  # noqa: E402
from marks import COLUMNS, Line, marks, pooled  # noqa: E402
from ours import BLOCK_FRAMES, FINE_BLOCK_FRAMES, track  # noqa: E402
from peers import PEERS  # noqa: E402
from quick_steps import quick_steps  # noqa: E402
from sets import ALL_CONDITIONS, SETS, sounds  # noqa: E402
from sung import REGISTERS  # noqa: E402

from audio.pitch import DEFAULT_TRACKER, TRACKERS  # noqa: E402

GENERATOR = ("voices.py", "sung.py", "conditions.py", "sets.py")


def peer_lines(name: str, set_name: str, conditions: list[str], python: str) -> dict[str, Line]:
    """A peer's lines over a set, from its child process or from the cache. Raises RuntimeError with the reason if it cannot."""
    made_by = [
        ast.dump(ast.parse((HERE / part).read_text())) for part in GENERATOR
    ]  # what it means, not how it is laid out
    made_by.append(ast.dump(ast.parse(inspect.getsource(PEERS[name].estimate))))
    folder = Path(platformdirs.user_cache_dir("heldline-tests", appauthor=False)) / "pitch-bench"
    folder.mkdir(parents=True, exist_ok=True)
    stamp = hashlib.sha256(repr((made_by, name, set_name, conditions)).encode()).hexdigest()[:16]
    kept = folder / f"{name.replace(' ', '-')}.{set_name}.{stamp}.npz"
    if not kept.is_file():
        with tempfile.TemporaryDirectory(dir=folder) as scratch:
            part = Path(scratch) / "lines.npz"
            ran = subprocess.run(
                [python, str(HERE / "peers.py"), name, set_name, ",".join(conditions), str(part)],
                capture_output=True,
                text=True,
            )
            if ran.returncode:
                raise RuntimeError((ran.stderr.strip().splitlines() or ["it said nothing"])[-1])
            part.replace(kept)
    stored = np.load(kept)
    ahead = PEERS[name].look_ahead_s
    out = {}
    for key in (k[5:] for k in stored.files if k.startswith("line ")):
        seconds, hertz = stored[f"line {key}"]
        known = seconds + (np.nan if ahead is None else ahead)
        out[key] = Line(seconds, hertz, known, float(stored[f"cpu {key}"]))
    return out


def sung_tables(asked, estimators: dict[str, object]) -> dict[tuple[str, str], dict[str, float]]:
    """Measure, print, and give the means by (estimator, condition)."""
    by_condition: dict[tuple[str, str], list[dict]] = {}
    by_register: dict[tuple[str, str], list[dict]] = {}
    for key, phrase, condition, sound in sounds(asked.set, asked.conditions):
        for name, lines in estimators.items():
            if lines is None:
                line, _ = track(name, sound, asked.block_frames)
                if condition == "clean" and asked.onsets:  # when each frame became known, to 1.5 ms
                    slow, _ = track(name, sound, FINE_BLOCK_FRAMES)
                    line = Line(line.seconds, line.hertz, slow.known_s, line.cpu_s)
            else:
                line = lines[key]
            said = marks(phrase, line)
            by_condition.setdefault((name, condition), []).append(said)
            by_register.setdefault((name, f"{condition} {phrase.register}"), []).append(said)
            if asked.by_model:
                by_register.setdefault((name, f"{condition} {phrase.model}"), []).append(said)
    for table in (by_condition, by_register):
        print(f"{'':35s}" + "".join(f"{c:>7s}" for c in COLUMNS) + "  ahead  licence")
        for (name, what), said in sorted(table.items(), key=lambda item: _order(item[0])):
            print(f"{name:17s}{what:18s}" + _row(pooled(said)) + _about(name))
        print()
    return {key: pooled(said) for key, said in by_condition.items()}


def _order(key: tuple[str, str]) -> tuple:
    name, what = key
    condition, *register = what.split()
    return (
        register and (*REGISTERS, *register).index(register[0]),
        ALL_CONDITIONS.index(condition),
        name in PEERS,
        name,
    )


def _row(said: dict[str, float]) -> str:
    digits = {"oct": 2, "notes": 2}
    return "".join(f"{said[c]:7.{digits.get(c, 1)}f}" for c in COLUMNS)


def _about(name: str) -> str:
    if name not in PEERS:
        return f"{1000 * TRACKERS[name]().latency_frames / 24_000:6.0f}   ours"
    ahead = PEERS[name].look_ahead_s
    return ("   all " if ahead is None else f"{1000 * ahead:6.0f} ") + "  " + PEERS[name].licence


def best_peers(means: dict[tuple[str, str], dict[str, float]], ours: str) -> None:
    """Beside the best peer in the same run, within 50 and within 5 cents."""
    if not any(name in PEERS for name, _ in means):
        return
    for width in ("RPA50", "RPA5"):
        for condition in dict.fromkeys(c for _, c in means):
            rivals = {name: m[width] for (name, c), m in means.items() if c == condition and name in PEERS}
            best = max(rivals, key=rivals.__getitem__)
            print(
                f"{condition:9s}{width:6s} ours {means[ours, condition][width]:5.1f}  best peer {rivals[best]:5.1f} ({best})"
            )
    print()


def main() -> None:
    """Print what was asked for."""
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--set", choices=list(SETS), default="quick")
    options.add_argument("--peers", nargs="*", default=[], help="names, or 'all'", metavar="NAME")
    options.add_argument("--peer-python", default=sys.executable, help="a Python that has the peers; see peers.py")
    options.add_argument("--tracker", default=DEFAULT_TRACKER)
    options.add_argument("--conditions", nargs="*", default=ALL_CONDITIONS)
    options.add_argument("--parts", nargs="*", default=["sung", "bound"], choices=["sung", "bound", "clips"])
    options.add_argument(
        "--steps", choices=("compiled", "plain"), default="compiled", help="the same numbers, in other times"
    )
    options.add_argument("--block-frames", type=int, default=BLOCK_FRAMES)
    options.add_argument(
        "--onsets", action="store_true", help="clean onsets fed in blocks of 1.5 ms, not of --block-frames"
    )
    options.add_argument("--by-model", action="store_true", help="and by model of voice")
    asked = options.parse_args()
    TRACKERS.load("audio.pitch")
    if asked.steps == "compiled":
        print("compiled steps" if quick_steps() else "plain steps: the compiled ones do not load here")
    if "sung" in asked.parts:
        estimators: dict[str, object] = {asked.tracker: None}
        for name in PEERS if asked.peers == ["all"] else asked.peers:
            try:
                estimators[name] = peer_lines(name, asked.set, asked.conditions, asked.peer_python)
            except (RuntimeError, OSError) as err:
                print(f"{name} ({PEERS[name].distribution}) is absent: {err}", file=sys.stderr)
        means = sung_tables(asked, estimators)
        best_peers(means, asked.tracker)
        hardness_table(means)
    if "bound" in asked.parts:
        bound_table(asked.tracker)
    if "clips" in asked.parts:
        clip_table(asked.tracker, asked.peer_python)


if __name__ == "__main__":
    main()
