"""Real singing: ``heldline trace`` beside three trackers that nobody here wrote.

Two clips of the vocadito data set (see ``real_clips``) have no human annotation, so the yardstick is agreement: a *sure* stretch is one
where probabilistic YIN (Mauch & Dixon 2014, in librosa), Praat's autocorrelation (Boersma 1993, in parselmouth) and a small
convolutional network (swift-f0) all hear a voice within 30 cents of each other for at least 150 ms.
"""

from __future__ import annotations

import csv
import fcntl
import functools
import io
import json
import os
import subprocess
import sys
import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import platformdirs
import pytest
import real_clips
import soundfile
from heldline_command import heldline
from numpy.typing import NDArray

Line = NDArray[np.float64]
HOP_S = 0.01
AGREE_CENTS = 30
LEAST_S = 0.15


@dataclass(frozen=True, slots=True, eq=False)
class Heard:
    """Four pitch lines on one grid of 10 ms, in cents above A4 = 440 Hz, not a number where unvoiced; and ours where unvoiced too."""

    others: Line
    ours: Line
    guess: Line
    stretches: list[slice]


@functools.cache
def heard(name: str) -> Heard:
    try:
        place = real_clips.clip(name)
    except real_clips.NotFetched as err:
        pytest.skip(f"the clips cannot be fetched: {err}")
    sound, rate_hz = soundfile.read(place)
    grid = np.arange(0.05, len(sound) / rate_hz - 0.05, HOP_S)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        others = np.stack([pyin(name, grid), praat(sound, rate_hz, grid), network(sound, rate_hz, grid)])
    ours, guess = traced(place, grid)
    apart = np.ptp(others, axis=0)
    return Heard(others, ours, guess, stretches(apart < AGREE_CENTS))


def cents(hz: Line, voiced: NDArray[np.bool_]) -> Line:
    return np.where(voiced, 1200 * np.log2(np.maximum(hz, 1.0) / 440), np.nan)


def on_grid(times: Line, line: Line, grid: Line) -> Line:
    """The nearest estimate."""
    index = np.clip(np.searchsorted(times, grid), 1, len(times) - 1)
    index -= (grid - times[index - 1]) < (times[index] - grid)
    return line[index]


@functools.cache
def pyin_lines() -> dict[str, dict[str, Any]]:
    """Of all clips at once, with what librosa compiles kept in the user's cache: that takes longer than its hearing."""
    script = Path(real_clips.__file__).with_name("pyin_line.py")
    kept = Path(platformdirs.user_cache_dir("heldline-tests", appauthor=False)) / "numba"
    kept.mkdir(parents=True, exist_ok=True)
    words = [sys.executable, script, *map(real_clips.clip, real_clips.CLIPS)]
    with (kept / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)  # two processes that write into one folder of numba's spoil what they compile
        env = {**os.environ, "NUMBA_CACHE_DIR": str(kept)}
        done = subprocess.run(words, capture_output=True, text=True, timeout=110, check=True, env=env)
    return dict(zip(real_clips.CLIPS, json.loads(done.stdout), strict=True))


def pyin(name: str, grid: Line) -> Line:
    told = pyin_lines()[name]
    hz = np.array(told["f0_hz"])
    return on_grid(np.arange(len(hz)) * told["hop_s"], cents(hz, hz > 0), grid)


def praat(sound: Line, rate_hz: int, grid: Line) -> Line:
    import parselmouth

    line = parselmouth.Sound(sound, rate_hz).to_pitch_ac(time_step=HOP_S, pitch_floor=65, pitch_ceiling=700)
    hz = line.selected_array["frequency"]
    return on_grid(line.xs(), cents(hz, hz > 0), grid)


def network(sound: Line, rate_hz: int, grid: Line) -> Line:
    import swift_f0
    from scipy.signal import resample_poly

    found = swift_f0.SwiftF0(threads=1).detect(resample_poly(sound, 160, 441), 16_000, fmin=65, fmax=700)
    return on_grid(found.timestamps, cents(found.pitch_hz, found.confidence > 0.5), grid)


def traced(place: object, grid: Line) -> tuple[Line, Line]:
    done = heldline("trace", place, "--csv")
    assert done.status == 0, done.err
    rows = np.array([[float(x) for x in row[:3]] for row in list(csv.reader(io.StringIO(done.out)))[1:]])
    every = np.ones(len(rows), dtype=bool)
    return (
        on_grid(rows[:, 0], cents(rows[:, 1], rows[:, 2] > 0), grid),
        on_grid(rows[:, 0], cents(rows[:, 1], every), grid),
    )


def stretches(sure: NDArray[np.bool_]) -> list[slice]:
    edges = np.flatnonzero(np.diff(np.concatenate([[False], sure, [False]]).astype(int)))
    return [slice(a, b) for a, b in zip(edges[::2], edges[1::2], strict=True) if (b - a) * HOP_S >= LEAST_S]


@pytest.mark.parametrize("name", real_clips.CLIPS)
def test_the_other_trackers_agree_on_enough_to_compare(name: str) -> None:
    found = heard(name)
    assert len(found.stretches) >= 10
    assert sum(s.stop - s.start for s in found.stretches) * HOP_S >= 3.0


@pytest.mark.parametrize("name", real_clips.CLIPS)
def test_every_note_on_which_they_agree_has_our_pitch_too(name: str) -> None:
    found = heard(name)
    apart = [float(np.nanmedian(found.ours[s] - np.median(found.others[:, s], axis=0))) for s in found.stretches]
    assert np.nanmax(np.abs(apart)) <= 10
    assert float(np.median(np.abs(apart))) <= 4
    assert not np.isnan(apart).any()


@pytest.mark.parametrize("name", real_clips.CLIPS)
def test_what_they_all_hear_as_voice_is_voiced_and_never_an_octave_off(name: str) -> None:
    found = heard(name)
    inside = np.concatenate([np.arange(s.start, s.stop) for s in found.stretches])
    apart = found.ours[inside] - np.median(found.others[:, inside], axis=0)
    assert np.mean(np.isnan(apart)) <= 0.03
    told = np.abs(apart[~np.isnan(apart)])
    assert np.mean(told > 300) <= 0.002
    assert np.mean(told < 50) >= 0.99


@pytest.mark.parametrize("name", real_clips.CLIPS)
def test_what_none_of_them_hears_as_voice_is_mostly_unvoiced(name: str) -> None:
    found = heard(name)
    nobody = np.isnan(found.others).all(axis=0)
    assert nobody.sum() > 50
    assert np.mean(~np.isnan(found.ours[nobody])) <= 0.25


@pytest.mark.parametrize("name", real_clips.CLIPS)
def test_a_best_guess_stands_in_every_row(name: str) -> None:
    assert not np.isnan(heard(name).guess).any()
