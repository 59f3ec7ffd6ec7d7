"""Phase is the integral of frequency, wherever one looks."""

from __future__ import annotations

import numpy as np
import pytest

from audio.curve import PitchCurve, PitchStep

CURVE = PitchCurve(
    (PitchStep(0, 220.0), PitchStep(10_000, 247.0), PitchStep(10_400, 246.0), PitchStep(30_000, 110.0)), 48_000, 1_440
)


def test_phase_is_the_summed_frequency() -> None:
    cycles, f0_hz = CURVE.follow(0, 40_000)
    summed = np.concatenate(([0.0], np.cumsum((f0_hz[1:] + f0_hz[:-1]) / 2))) / 48_000
    assert np.max(np.abs(cycles - summed)) < 1e-3  # the trapezoid's own error at the sudden first step is 0


def test_pitch_moves_without_a_jump_and_arrives() -> None:
    _, f0_hz = CURVE.follow(0, 40_000)
    assert np.max(np.abs(np.diff(f0_hz))) < 0.3
    assert f0_hz[9_000] == 220.0
    assert f0_hz[20_000] == 246.0
    assert f0_hz[-1] == 110.0
    assert abs(f0_hz[30_000] - (246.0 + 110.0) / 2) < 1e-9


@pytest.mark.parametrize(
    ("low", "high"), [(9_500, 9_600), (0, 1), (10_390, 10_410), (29_000, 31_000), (50_000, 50_100)]
)
def test_any_stretch_is_what_the_whole_has_there(low: int, high: int) -> None:
    whole = CURVE.follow(0, 60_000)
    part = CURVE.follow(low, high)
    assert np.array_equal(part[0], whole[0][low:high])
    assert np.array_equal(part[1], whole[1][low:high])


def test_phase_is_still_exact_after_an_hour() -> None:
    curve = PitchCurve((PitchStep(0, 261.5),), 48_000)
    cycles, _ = curve.follow(3_600 * 48_000, 3_600 * 48_000 + 1)
    assert abs(cycles[0] - 261.5 * 3_600) < 1e-6


@pytest.mark.parametrize(
    "steps",
    [(), (PitchStep(0, 0.0),), (PitchStep(0, 220.0), PitchStep(0, 221.0)), (PitchStep(5, 1.0), PitchStep(4, 1.0))],
)
def test_steps_that_no_sound_can_follow_are_refused(steps: tuple[PitchStep, ...]) -> None:
    with pytest.raises(ValueError, match="forward"):
        PitchCurve(steps, 48_000)
