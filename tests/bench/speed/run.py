"""How fast and how big: cold start, first demo line, times real time on one core, memory over a long file; peers in the same run.

    .venv/bin/python tests/bench/speed/run.py [--short] [--minutes-long N]

Times are of child processes (``resource.getrusage``), best of a few for starts. The score is as long as the recording. The long file
is a fifth of song and the rest a quiet room; its memory is compared with that of a file a tenth as long, since memory must not grow
with length. The peer for tracking is librosa's probabilistic YIN on half a minute of the same song at a like hop, after a first call
that compiles it. ``--short`` uses small files, ten seconds of the peer, and plain steps on a minute alone. Exit status 1 when a command
fails or memory grows; a time over its budget is only said, since the machine may have been busy.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass, replace
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "tests" / "support")]

from audio import compiled  # noqa: E402
from audio.pitch import TRACKERS  # noqa: E402

HELP_BUDGET_S = 1.0
"""0.3 s is the aim on an idle machine; continuous integration is not idle."""
DEMO_BUDGET_S = 8.0
LEAST_TIMES_REAL_TIME = 2.0
MOST_GROWTH_MB = 60.0
MEASURE = """
import json, os, resource, subprocess, sys, time
began = time.perf_counter()
child = subprocess.Popen(sys.argv[1:], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, stdin=subprocess.DEVNULL)
first = child.stdout.readline()
first_s = time.perf_counter() - began
rest = child.stdout.read()
status = child.wait()
used = resource.getrusage(resource.RUSAGE_CHILDREN)
print(json.dumps({"first_s": first_s, "whole_s": time.perf_counter() - began, "status": status, "peak_mb": used.ru_maxrss / 1024,
                  "cpu_s": used.ru_utime + used.ru_stime, "bytes": len(first) + len(rest)}))
"""


@dataclass(frozen=True, slots=True)
class Cost:
    """What one child process took: seconds to its first line and to its end, seconds of processor, peak memory in MB."""

    first_s: float
    whole_s: float
    cpu_s: float
    peak_mb: float
    status: int


def cost(*words: object, home: Path | None = None) -> Cost:
    """One heldline command in a child of a child, so that its peak memory is its own; on plain steps, or on those compiled in *home*."""
    command = [sys.executable, "-m", "trainer", *(str(word) for word in words)]
    one_core = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "NUMBA_NUM_THREADS"), "1")
    kept = {"HELDLINE_COMPILED": "no"} if home is None else {"HELDLINE_HOME": str(home)}
    done = subprocess.run(
        [sys.executable, "-c", MEASURE, *command],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": str(ROOT), **one_core, **kept},
    )
    table = json.loads(done.stdout)
    return Cost(table["first_s"], table["whole_s"], table["cpu_s"], table["peak_mb"], table["status"])


def best(*words: object, times: int = 5) -> Cost:
    """The quickest of a few runs: the rest is the machine's other work."""
    return min((cost(*words) for _ in range(times)), key=lambda run: run.whole_s)


def recording(folder: Path, minutes: float, *, sung: float) -> tuple[Path, Path, float]:
    """Score, a file of *minutes* of which the first share *sung* is song and the rest a quiet room, and its length in seconds."""
    import slips
    import soundfile
    from rooms import pink
    from simulated_singer import Throat, sing
    from written_music import FERRY_BELL, write_musicxml

    rate_hz = 48_000
    round_s = float(FERRY_BELL.end_quarters) * 60 / FERRY_BELL.qpm
    rounds = max(round(minutes * 60 / round_s), 1)
    lines = tuple((voice, " ".join([text] * rounds)) for voice, text in FERRY_BELL.lines)
    score = write_musicxml(replace(FERRY_BELL, lines=lines), folder / f"{rounds}.musicxml")
    line = slips.as_written(FERRY_BELL, "alto", starts_at_s=0.0)
    take = sing(line, seed=5, seconds=round_s, throat=Throat("women")).samples
    quiet = pink(len(take), rate_hz, seed=3, dbfs=-66)
    place = folder / f"{minutes:g}-{sung:g}.wav"
    with soundfile.SoundFile(place, "w", rate_hz, 1) as opened:
        for number in range(rounds):
            opened.write(take if number < rounds * sung else quiet)
        frames = opened.tell()
    return score, place, frames / rate_hz


def pyin_times_real_time(place: Path, seconds: int) -> float:
    """librosa's probabilistic YIN on the first *seconds*: seconds of sound a second of processor."""
    import warnings

    import librosa
    import soundfile

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        sound, rate_hz = soundfile.read(place, frames=seconds * 48_000)
        librosa.pyin(sound[:rate_hz], fmin=65, fmax=1047, sr=rate_hz, hop_length=240)
        began = time.process_time()
        librosa.pyin(sound, fmin=65, fmax=1047, sr=rate_hz, hop_length=240)
    return len(sound) / rate_hz / (time.process_time() - began)


def main() -> int:
    """Exit status."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--short", action="store_true")
    parser.add_argument("--minutes-long", type=float, default=60.0)
    args = parser.parse_args()
    minutes = 6.0 if args.short else args.minutes_long
    with tempfile.TemporaryDirectory() as folder:
        os.environ["HELDLINE_HOME"] = folder
        return report(Path(folder), minutes, short=args.short)


def report(folder: Path, minutes: float, *, short: bool) -> int:
    """Measure and print; 1 when a command failed or memory grew."""
    late, wrong = [], []
    for name, words, budget_s in (
        ("help", ("--help",), HELP_BUDGET_S),
        ("library", ("library",), HELP_BUDGET_S),
        ("demo", ("demo",), DEMO_BUDGET_S),
    ):
        run = best(*words, times=3 if short else 7)
        print(f"{name}: first line after {run.first_s:.2f} s, whole {run.whole_s:.2f} s, peak {run.peak_mb:.0f} MB")
        if run.first_s > budget_s:
            late.append(f"{name}: {run.first_s:.2f} s")
        if run.status != 0:
            wrong.append(f"{name}: status {run.status}")
    options = ("--voice", "alto", "--json", "--no-log", "--input")
    score, song, song_s = recording(folder, 1.0, sung=1.0)
    run = cost("sing", score, *options, song)
    ours = song_s / run.cpu_s
    print(f"sing --input, a minute sung throughout: {ours:.1f} times real time on one core, peak {run.peak_mb:.0f} MB")
    if ours < LEAST_TIMES_REAL_TIME:
        late.append(f"sing: {ours:.1f} times real time")
    if run.status != 0:
        wrong.append(f"sing: status {run.status}")
    trace = cost("trace", song, "--csv")
    peer = pyin_times_real_time(song, 10 if short else 30)
    traced = song_s / trace.cpu_s
    print(f"trace of it: {traced:.1f} times real time; librosa.pyin in this run {peer:.1f}; ratio {traced / peer:.1f}")
    TRACKERS.load("audio.pitch")
    if compiled.make(folder / "compiled"):
        score, long, long_s = recording(folder, 5.0, sung=1.0)
        ways: dict[str, Path | None] = {"compiled": folder} if short else {"plain": None, "compiled": folder}
        for name, home in ways.items():
            run = cost("trace", long, home=home)
            print(
                f"trace of five minutes, {name} steps: {long_s / run.cpu_s:.1f} times real time, peak {run.peak_mb:.0f} MB"
            )
        long.unlink()
    before = 0.0
    for length in (minutes / 10, minutes):
        score, long, long_s = recording(folder, length, sung=0.2)
        run = cost("sing", score, *options, long)
        growth = run.peak_mb - before if before else 0.0
        print(
            f"sing --input, {length:g} minutes, a fifth sung: {long_s / run.cpu_s:.1f} times real time,"
            f" whole {run.whole_s:.1f} s, peak {run.peak_mb:.0f} MB, {growth:+.0f} MB"
        )
        if growth > MOST_GROWTH_MB or run.status != 0:
            wrong.append(f"{length:g} minutes: memory grows by {growth:.0f} MB, status {run.status}")
        before = run.peak_mb
        long.unlink()
    for line in late:
        print(f"over budget: {line}")
    for line in wrong:
        print(f"wrong: {line}")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
