"""The recipe for one figure, against its own truth. Published figures stand beside their check."""

from __future__ import annotations

import math
import random

import pytest

from trainer.judge.figure import figure
from trainer.judge.phonation import median

HOP_FRAMES = 120


def sung(
    seconds: float,
    *,
    centre: float,
    swing: float = 0,
    rate_hz: float = 5.6,
    noise: float = 0,
    phase: float = 0,
    seed: int = 1,
) -> list[int]:
    rng = random.Random(seed)
    return [
        round(100 * (centre + swing * math.sin(phase + 2 * math.pi * rate_hz * k * 0.005) + rng.gauss(0, noise)))
        for k in range(int(seconds / 0.005))
    ]


def test_nothing_has_no_figure() -> None:
    assert figure([], HOP_FRAMES) is None


def test_vibrato_of_seventy_cents_on_half_a_second_is_read_at_its_centre_where_the_median_is_not() -> None:
    # simulated before: whole-cycle mean 4 cents rms, median 18 (trimmed to a quarter of a second)
    errors, by_median = [], []
    for k in range(40):
        row = sung(0.26, centre=-12, swing=70, phase=k * math.pi / 20, noise=4, seed=k)
        errors.append(figure(row, HOP_FRAMES).deviation_c100 / 100 + 12)
        by_median.append(median(row) / 100 + 12)
    assert math.sqrt(sum(e * e for e in errors) / 40) < 12
    assert sum(map(abs, errors)) < sum(map(abs, by_median))


@pytest.mark.parametrize("rate_hz", [4.5, 5.0, 5.6, 6.3, 7.5])
def test_rate_and_extent_of_vibrato_come_out(rate_hz: float) -> None:
    made = figure(sung(1.5, centre=0, swing=40, rate_hz=rate_hz, noise=2), HOP_FRAMES)
    assert 24_000 / made.vibrato_period_frames == pytest.approx(rate_hz, rel=0.06)
    assert made.vibrato_extent_c100 / 100 == pytest.approx(40, abs=4)
    assert abs(made.deviation_c100) <= 150


def test_steady_singing_has_no_vibrato_and_a_slide_is_none() -> None:
    assert figure(sung(1.5, centre=3, noise=6), HOP_FRAMES).vibrato_period_frames == 0
    slide = [round(100 * (k * 0.2)) for k in range(300)]
    assert figure(slide, HOP_FRAMES).vibrato_period_frames == 0


def test_octave_slips_of_the_tracker_do_not_move_the_figure() -> None:
    row = sung(1.0, centre=5, noise=3)
    for k in range(0, len(row), 20):
        row[k] += 120_000
    assert abs(figure(row, HOP_FRAMES).deviation_c100 - 500) <= 100


def test_the_uncertainty_covers_the_truth_and_shrinks_with_length() -> None:
    inside = 0
    for k in range(200):
        row = sung(0.5, centre=7, swing=30, phase=k, noise=8, seed=k)
        made = figure(row, HOP_FRAMES)
        inside += abs(made.deviation_c100 - 700) <= made.uncertainty_c100
    assert inside >= 186  # 93 of 100
    short, long = figure(sung(0.1, centre=0, noise=8), HOP_FRAMES), figure(sung(2, centre=0, noise=8), HOP_FRAMES)
    assert short.uncertainty_c100 > long.uncertainty_c100 >= 200


def test_sharp_and_flat_mirror_each_other() -> None:
    up = figure(sung(0.8, centre=33, swing=25), HOP_FRAMES)
    down = figure([-x for x in sung(0.8, centre=33, swing=25)], HOP_FRAMES)
    assert abs(up.deviation_c100 + down.deviation_c100) <= 1
    assert up.uncertainty_c100 == down.uncertainty_c100
