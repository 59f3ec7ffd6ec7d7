"""How far apart several come in on one note, against tones whose entries are drawn here."""

from __future__ import annotations

from statistics import median

import numpy as np
import pytest

from audio.entries import AFTER_SECONDS, BEFORE_SECONDS, apart_seconds, entry_curve

RATE_HZ = 24_000
F0_HZ = 196.0
SECONDS = BEFORE_SECONDS + 1.3


def section(
    apart_ms: float, *, late_s: float = 0.0, seed: int = 0, singers: int = 7, f0_hz: float = F0_HZ
) -> np.ndarray:
    """Seven sawtooth voices 15 cents apart, their entries' standard deviation exact."""
    rng = np.random.default_rng(seed)
    entries = rng.normal(0, 1, singers)
    entries = BEFORE_SECONDS + late_s + (entries - entries.mean()) / entries.std() * apart_ms / 1000
    at = np.arange(round(SECONDS * RATE_HZ)) / RATE_HZ
    whole = rng.normal(0, 1e-4, len(at))
    for entry in entries:
        own_hz = f0_hz * 2 ** (rng.normal(0, 15) / 1200)
        voice = 2 * ((own_hz * at + rng.uniform()) % 1.0) - 1
        whole += voice * np.clip((at - entry) / 0.03, 0, 1)
    return whole.astype(np.float32)


def measured(apart_ms: float, **how: float) -> float:
    """The middle of six notes."""
    curves = [entry_curve(section(apart_ms, seed=seed, **how), RATE_HZ, F0_HZ) for seed in range(6)]  # type: ignore[arg-type]
    return median(apart_seconds(curve) for curve in curves if curve is not None)


@pytest.mark.parametrize(("apart_ms", "low", "high"), [(15, 0.008, 0.045), (120, 0.09, 0.15)])
def test_it_is_about_as_far_as_they_are_apart(apart_ms: float, low: float, high: float) -> None:
    assert low <= measured(apart_ms) <= high


def test_a_section_that_is_late_together_is_together() -> None:
    assert measured(15, late_s=0.15) <= 0.045


def test_a_curve_is_nothing_before_the_entry_and_all_after_it() -> None:
    curve = entry_curve(section(15), RATE_HZ, F0_HZ)
    assert curve is not None
    assert len(curve) * 0.005 == pytest.approx(BEFORE_SECONDS + AFTER_SECONDS, abs=0.03)
    assert np.abs(curve[:60]).max() < 0.02
    assert 0.7 < curve[-30:].mean() < 1.3


def test_where_nobody_comes_in_there_is_no_curve() -> None:
    noise = np.random.default_rng(1).normal(0, 0.01, round(SECONDS * RATE_HZ)).astype(np.float32)
    assert entry_curve(noise, RATE_HZ, F0_HZ) is None
    assert entry_curve(section(15)[: round(0.7 * RATE_HZ)], RATE_HZ, F0_HZ) is None


def test_a_room_that_goes_on_filling_is_not_taken_for_late_singers() -> None:
    at = np.arange(156) * 0.005 - BEFORE_SECONDS
    step = np.clip(at / 0.06 + 0.5, 0, 1)
    assert apart_seconds(step * (0.5 + 0.5 * (1 - np.exp(-np.maximum(at, 0) / 0.15)))) < 0.04
