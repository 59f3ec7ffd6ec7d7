"""Messages handed over late are put where the driver says they came."""

from __future__ import annotations

import numpy as np

from audio.devices._midi_clock import DriversClock

MS = 1_000_000


def came_ms(came: list[float], held_up: list[float], drift: float = 0.0) -> list[float]:
    """Errors in ms of messages that came so and were handed to us so much later."""
    clock, before, found = DriversClock(), came[0], []
    for at, late in zip(came, held_up, strict=True):
        told = clock.came_ns(round((at + late) * MS), (at - before) * (1 + drift) / 1000)
        found.append(told / MS - at)
        before = at
    return found


def test_a_message_that_is_handed_over_late_keeps_its_own_time() -> None:
    errors = came_ms([1_000, 1_500, 2_000, 2_500], [1.0, 40.0, 1.2, 60.0])
    assert np.allclose(errors, 1.0, atol=0.01)


def test_no_message_came_later_than_it_was_handed_over() -> None:
    rng = np.random.default_rng(3)
    came = np.cumsum(rng.uniform(5, 700, 400))
    late = rng.exponential(8.0, 400)
    errors = came_ms(list(came), list(late))
    assert all(error <= handed + 1e-3 for error, handed in zip(errors, late, strict=True))
    assert max(errors[20:]) < 3.0


def test_two_clocks_that_drift_apart_stay_together() -> None:
    came = [1_000.0 + 500 * k for k in range(1_200)]  # ten minutes
    for drift in (50e-6, -50e-6):
        assert max(map(abs, came_ms(came, [0.5] * len(came), drift))) < 2.5


def test_a_driver_whose_clock_stands_still_or_jumps_is_believed_no_more() -> None:
    clock = DriversClock()
    assert clock.came_ns(1_000 * MS, 0.0) == 1_000 * MS
    assert clock.came_ns(2_000 * MS, 0.0) == 2_000 * MS  # it says that no time has passed
    assert clock.came_ns(2_500 * MS, 0.5) == 2_500 * MS
