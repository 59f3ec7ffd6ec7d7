"""Measure the pitch trackers on sung phrases: ``python tests/bench/pitch/run.py [--long] [--seeds report] [--peers]``.

One table: raw pitch accuracy within 50, 25, 10 and 5 cents, median error, octave errors, voicing recall and false alarm
(mir_eval.melody), error of a note's median, and audio seconds a CPU second; by condition (means over registers), then
by register. Development seeds and report seeds are different numbers: tune on the first, quote the second.
"""

from __future__ import annotations

import argparse
import os
import sys
import time
import warnings
from pathlib import Path

for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "NUMBA_NUM_THREADS"):
    os.environ.setdefault(name, "1")
HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parents[2])]

import mir_eval  # noqa: E402
import numpy as np  # noqa: E402
from sung import CONDITIONS, GRID_SECONDS, RATE_HZ, REGISTERS, sing  # noqa: E402

from audio.block import Block  # noqa: E402
from audio.heard import PitchFrame  # noqa: E402
from audio.pitch import DEFAULT_TRACKER, TRACKERS  # noqa: E402
from audio.units import c100_to_hz  # noqa: E402

SEEDS = {"develop": (1, 2, 3), "report": (7001, 7002, 7003, 7004)}
COLUMNS = "RPA50 RPA25 RPA10  RPA5   med   oct    VR   VFA notes   xRT"


def ours(key: str):
    """An estimator: sound -> (seconds, hertz, negative where unvoiced)."""

    def run(sound: np.ndarray):
        tracker = TRACKERS.load("audio.pitch")[key]()
        samples = sound.astype(np.float32)[:, None]
        out = []
        for begin in range(0, len(samples), 8192):
            out += tracker.feed(Block(samples[begin : begin + 8192].copy(), ("mic1",), begin, RATE_HZ))
        frames = [f for f in out + tracker.flush() if isinstance(f, PitchFrame)]
        hertz = np.array([c100_to_hz(f.f0_c100) * (1 if f.voiced else -1) for f in frames])
        return np.array([f.centre_frame for f in frames]) / 24_000, hertz

    return run


def librosa_yin(sound):
    import librosa

    low = librosa.resample(sound, orig_sr=RATE_HZ, target_sr=24_000)
    f0 = librosa.yin(low, fmin=65, fmax=1100, sr=24_000, frame_length=1024, hop_length=120)
    return np.arange(len(f0)) * 0.005, f0


def librosa_pyin(sound):
    import librosa

    low = librosa.resample(sound, orig_sr=RATE_HZ, target_sr=24_000)
    f0, voiced, _ = librosa.pyin(low, fmin=65, fmax=1100, sr=24_000, frame_length=1024, hop_length=120, fill_na=None)
    return np.arange(len(f0)) * 0.005, np.where(voiced, f0, -f0)


def praat(sound):
    import parselmouth

    pitch = parselmouth.Sound(sound, RATE_HZ).to_pitch_ac(time_step=0.005, pitch_floor=65, pitch_ceiling=1100)
    return pitch.xs(), pitch.selected_array["frequency"]


def score(truth_hz, seconds, hertz, notes) -> dict[str, float]:
    grid = np.arange(len(truth_hz)) * GRID_SECONDS
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        ref_v, ref_c, est_v, est_c = mir_eval.melody.to_cent_voicing(grid, truth_hz, seconds, hertz)
    marks = {
        f"RPA{width}": 100 * mir_eval.melody.raw_pitch_accuracy(ref_v, ref_c, est_v, est_c, cent_tolerance=width)
        for width in (50, 25, 10, 5)
    }
    error = (est_c - ref_c)[(ref_v > 0) & (est_c > 0)]
    octaves = np.round(error / 1200)
    marks["med"] = float(np.median(np.abs(error)))
    marks["oct"] = 100 * float(np.mean((octaves != 0) & (np.abs(error - 1200 * octaves) < 50)))
    recall, false_alarm = mir_eval.melody.voicing_measures(ref_v, est_v)
    marks["VR"], marks["VFA"] = 100 * recall, 100 * false_alarm
    marks["notes"] = _note_error(grid, ref_c, est_c, est_v, notes)
    return marks


def _note_error(grid, ref_c, est_c, est_v, notes) -> float:
    """Median over notes of the error of the note's median, in its inner part, against the truth's own median there."""
    errors = []
    for start, end, _ in notes:
        trim = min(0.12, 0.25 * (end - start))
        inner = (grid >= start + trim) & (grid <= end - trim) & (est_v > 0)
        if inner.sum() > 5:
            errors.append(abs(np.median(est_c[inner] - ref_c[inner])))
    return float(np.median(errors)) if errors else float("nan")


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--seeds", choices=sorted(SEEDS), default="develop")
    options.add_argument("--long", action="store_true", help="all seeds, 16 s each; else one seed of 6 s")
    options.add_argument("--peers", action="store_true", help="beside librosa and praat")
    options.add_argument("--tracker", default=DEFAULT_TRACKER)
    options.add_argument("--conditions", nargs="*", default=list(CONDITIONS))
    asked = options.parse_args()
    estimators = {asked.tracker: ours(asked.tracker)}
    if asked.peers:
        estimators |= {"librosa.yin": librosa_yin, "praat ac": praat, "librosa.pyin": librosa_pyin}
    seeds = SEEDS[asked.seeds] if asked.long else SEEDS[asked.seeds][:1]
    phrases = {(r, s): sing(r, s, 16.0 if asked.long else 6.0) for r in REGISTERS for s in seeds}
    rows: dict[tuple[str, str], list[dict[str, float]]] = {}
    by_register: dict[tuple[str, str], list[dict[str, float]]] = {}
    for (register, seed), phrase in phrases.items():
        for condition in asked.conditions:
            sound = CONDITIONS[condition](phrase, seed)
            for name, estimate in estimators.items():
                began = time.process_time()
                seconds, hertz = estimate(sound)
                spent = time.process_time() - began
                marks = score(phrase.truth_hz, seconds, hertz, phrase.notes)
                marks["xRT"] = len(sound) / RATE_HZ / max(spent, 1e-9)
                rows.setdefault((name, condition), []).append(marks)
                by_register.setdefault((name, f"{condition} {register}"), []).append(marks)
    for table in (rows, by_register):
        print(f"{'':32s}{COLUMNS}")
        for (name, what), marks in table.items():
            if table is rows or "clean" in what or "pink10" in what or "1.2" in what:
                print(f"{name:13s}{what:17s}" + _line(marks))
        print()


def _line(marks: list[dict[str, float]]) -> str:
    mean = {column: float(np.nanmean([m[column] for m in marks])) for column in COLUMNS.split()}
    return " ".join(f"{mean[c]:6.2f}" if c in ("oct", "notes") else f"{mean[c]:5.1f}" for c in COLUMNS.split())


if __name__ == "__main__":
    main()
