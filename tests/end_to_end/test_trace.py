"""The pitch line of any recording: columns, places in time, voicing, levels, against sounds whose truth is known."""

from __future__ import annotations

import csv
import io
import math
from pathlib import Path

import numpy as np
import pytest
import slips
from heldline_command import heldline, save
from numpy.typing import NDArray
from rooms import pink
from simulated_singer import Throat, sing
from written_music import FERRY_BELL

RATE_HZ = 48_000
Sound = NDArray[np.float64]


def rows_of(recording: Path, *options: object) -> list[dict[str, float]]:
    done = heldline("trace", recording, "--csv", *options)
    assert done.status in (0, 5), done.err
    lines = list(csv.reader(io.StringIO(done.out)))
    assert lines[0][:5] == ["time_s", "f0_hz", "voiced", "confidence", "level_dbfs"]
    return [dict(zip(lines[0], map(float, line), strict=True)) for line in lines[1:]]


def glide(cents_a_second: float, *, from_hz: float, seconds: float = 3.0) -> Sound:
    """A harmonic tone whose pitch moves evenly; six harmonics falling by 9 dB an octave."""
    t = np.arange(int(seconds * RATE_HZ)) / RATE_HZ
    k = cents_a_second / 1200 * math.log(2)
    phase = 2 * np.pi * from_hz * (np.expm1(k * t) / k if k else t)
    return sum(np.sin(h * phase) / h**1.5 for h in range(1, 7)) * 0.1 + np.zeros(len(t))


def test_a_row_a_hop_from_the_start_to_the_end(tmp_path: Path) -> None:
    rows = rows_of(save(tmp_path / "a.wav", glide(0, from_hz=220), RATE_HZ))
    times = np.array([row["time_s"] for row in rows])
    hops = np.diff(times)
    assert 0.005 <= hops.mean() <= 0.010
    assert np.allclose(hops, hops.mean(), atol=1e-6)
    assert times[0] < 0.06
    assert times[-1] > 2.94
    for row in rows:
        assert row["voiced"] in (0, 1)
        assert 0 <= row["confidence"] <= 1
        assert row["f0_hz"] > 0
        assert row["level_dbfs"] <= 0


@pytest.mark.parametrize("from_hz", [98.0, 220.0, 523.0])
def test_a_pitch_stands_at_its_own_time(from_hz: float, tmp_path: Path) -> None:
    # a wrong stamp by d seconds shows as d times the slope, with opposite sign up and down
    lag = []
    for slope in (400.0, -400.0):
        start_hz = from_hz if slope > 0 else from_hz * 2
        rows = rows_of(save(tmp_path / "a.wav", glide(slope, from_hz=start_hz), RATE_HZ))
        inside = [row for row in rows if 0.3 < row["time_s"] < 2.7 and row["voiced"]]
        assert len(inside) > 200
        error = [1200 * math.log2(row["f0_hz"] / start_hz) - slope * row["time_s"] for row in inside]
        lag.append(float(np.median(error)) / slope)
        assert float(np.percentile(np.abs(error), 95)) < 5
    assert abs(sum(lag) / 2) < 0.003


@pytest.mark.parametrize("hz", [65.4, 82.4, 110.0, 220.0, 440.0, 880.0, 1046.5])
def test_a_steady_tone_is_voiced_and_within_three_cents_all_along(hz: float, tmp_path: Path) -> None:
    # C2 to C6, a fifth beyond written basses and the top of written sopranos
    rows = rows_of(save(tmp_path / "a.wav", glide(0, from_hz=hz, seconds=2.5), RATE_HZ))
    inside = [row for row in rows if 0.2 < row["time_s"] < 2.3]
    assert [row["time_s"] for row in inside if not row["voiced"]] == []
    assert max(abs(1200 * math.log2(row["f0_hz"] / hz)) for row in inside) < 3


def test_voicing_tells_song_from_breath_and_room(tmp_path: Path) -> None:
    sung = slips.missing(slips.as_written(FERRY_BELL, "alto")[:5], 2)
    take = sing(sung, seed=4, seconds=11.5, throat=Throat("women"))
    rows = rows_of(save(tmp_path / "a.wav", take.samples, take.rate_hz), "--voice", "alto")
    silent = [row for row in rows if 4.8 < row["time_s"] < 6.2]
    voiced = [row for row in rows if any(n.start_s + 0.1 < row["time_s"] < n.end_s - 0.15 for n in sung)]
    assert sum(row["voiced"] for row in silent) <= 0.02 * len(silent)
    assert sum(row["voiced"] for row in voiced) >= 0.97 * len(voiced)
    assert np.mean([row["level_dbfs"] for row in voiced]) > np.mean([row["level_dbfs"] for row in silent]) + 30


def test_a_room_alone_has_a_best_guess_and_no_voice(tmp_path: Path) -> None:
    place = save(tmp_path / "room.wav", pink(5 * RATE_HZ, RATE_HZ, seed=2, dbfs=-50), RATE_HZ)
    rows = rows_of(place)
    assert all(row["f0_hz"] > 0 for row in rows)
    assert sum(row["voiced"] for row in rows) <= 0.02 * len(rows)
    assert heldline("trace", place, "--csv").status == 5


def test_lowest_and_highest_bound_the_guess(tmp_path: Path) -> None:
    place = save(tmp_path / "a.wav", glide(0, from_hz=220, seconds=1.0), RATE_HZ)
    inside = [row["f0_hz"] for row in rows_of(place, "--lowest", "150", "--highest", "300")]
    assert all(145 < hz < 310 for hz in inside)
    assert heldline("trace", place, "--csv", "--lowest", "300", "--highest", "150").status == 2


def test_json_and_csv_tell_the_same_line(tmp_path: Path) -> None:
    place = save(tmp_path / "a.wav", glide(100, from_hz=300, seconds=1.0), RATE_HZ)
    told = heldline("trace", place, "--json").table
    frames = next(value for value in told.values() if isinstance(value, list) and value)
    assert [frame["time_s"] for frame in frames] == [row["time_s"] for row in rows_of(place)]
    assert [frame["f0_hz"] for frame in frames] == [row["f0_hz"] for row in rows_of(place)]
