"""The frame count through stalls, without a driver: stamps and clock are written by hand."""

from __future__ import annotations

import pytest
from callback_stand import Status, Times

from audio.devices import _rings as at
from audio.devices._lane import BASELINE_CALLBACKS, DISPLACED_CALLBACKS, Lane

RATE_HZ, BLOCK = 48_000, 480
QUIET = Status()


class Driver:
    """Calls a lane every 10 ms."""

    def __init__(self, *, trip_seconds: float = 0.1) -> None:
        self.lane = Lane(RATE_HZ)
        self.now = 50.0
        self.heard = 10.0
        self.trip_seconds = trip_seconds
        while not self.lane.settled(BLOCK, QUIET):
            self.now += 0.01

    def call(self, status: Status = QUIET, *, later: float = 0.0) -> tuple[int, int, int]:
        self.now += 0.01 + later
        self.heard += 0.01
        result = self.lane.step(
            BLOCK, Times(self.heard, self.heard + 0.02, self.heard + self.trip_seconds), status, self.now
        )
        self.lane.callbacks += 1
        return result


def test_a_stream_in_one_direction_says_its_own_way_alone() -> None:
    lane = Lane(RATE_HZ)
    assert lane.reported_frames(Times(10.0, 10.02, 0.0)) == 960  # it only listens
    assert lane.reported_frames(Times(0.0, 10.02, 10.05)) == 1_440  # it only sounds
    assert lane.reported_frames(Times(0.0, 10.02, 0.0)) == -1


def test_frames_go_on_block_after_block() -> None:
    driver = Driver()
    assert [driver.call() for _ in range(3)] == [(0, 0, 0), (480, 0, 0), (960, 0, 0)]


@pytest.mark.parametrize("late", [0.02, 0.1])
def test_a_late_callback_within_the_buffer_is_nothing(late: float) -> None:
    driver = Driver()
    driver.call()
    assert driver.call(later=late) == (480, 0, 0)


def test_a_stall_longer_than_the_buffer_is_flagged_though_the_driver_is_silent() -> None:
    driver = Driver()
    driver.call()
    assert driver.call(later=0.2) == (480, 0, at.UNDERFLOWED)
    assert driver.call() == (960, 0, 0)


def test_cycles_that_jack_passed_over_are_lost_at_once_and_only_once() -> None:
    """Stamps and flags as jackd 1.9.21 gave them when its client stood still for 0.2 s: the flag comes one callback late."""
    driver = Driver()
    for _ in range(40):
        driver.call()
    driver.heard += 0.1997
    start, lost, wrong = driver.call(later=0.1997)
    assert (start, lost) == (40 * BLOCK + 9_586, 9_586)
    assert wrong == at.OVERFLOWED | at.UNDERFLOWED
    driver.heard -= 0.0024
    flagged = driver.call(Status(input_overflow=True, output_underflow=True), later=-0.0024)
    assert flagged == (41 * BLOCK + 9_587, 1, at.OVERFLOWED | at.UNDERFLOWED)
    assert driver.call()[1:] == (0, 0)


def test_a_single_cycle_that_jack_passed_over_is_counted_with_its_flag() -> None:
    driver = Driver()
    driver.call()
    driver.heard += 0.0053
    assert driver.call(later=0.0053)[1:] == (0, 0)
    assert driver.call(Status(input_overflow=True))[1:] == (254, at.OVERFLOWED)


def test_input_that_falls_behind_the_output_is_no_longer_sound() -> None:
    driver = Driver()
    for _ in range(BASELINE_CALLBACKS):
        driver.call()
    driver.trip_seconds = 0.7
    wrong = [driver.call()[2] for _ in range(DISPLACED_CALLBACKS + 2)]
    assert wrong == [0] * (DISPLACED_CALLBACKS - 1) + [at.INVENTED] * 3
    assert driver.lane.displaced >= DISPLACED_CALLBACKS


@pytest.mark.parametrize("wander", [0.02, -0.05])
def test_a_delay_that_wanders_a_little_or_falls_is_not_displaced(wander: float) -> None:
    driver = Driver()
    for number in range(300):
        driver.trip_seconds = 0.1 + (wander if number > BASELINE_CALLBACKS and number // 20 % 2 else 0.0)
        assert driver.call()[2] == 0
    assert driver.lane.displaced == 0


def test_stamps_that_say_nothing_never_displace() -> None:
    driver = Driver(trip_seconds=-1.0)  # out before in: not plausible
    for _ in range(100):
        assert driver.call()[2] == 0


def test_after_a_new_beginning_the_count_is_where_the_clock_says() -> None:
    driver = Driver()
    for _ in range(500):
        driver.call()
    driver.now += 0.6  # the stall: nothing is called
    driver.trip_seconds = 0.7
    for _ in range(20):
        driver.call()
    driver.now += 0.15
    driver.lane.begin_anew()
    driver.trip_seconds = 0.1
    while not driver.lane.settled(BLOCK, QUIET):
        driver.now += 0.01
    settling = driver.now
    start, lost, wrong = driver.call()
    assert wrong == at.OVERFLOWED | at.UNDERFLOWED
    assert start == 520 * BLOCK + lost
    # the first call of all ended frame 480 at its own moment: so the clock says this one ends at
    began = 50.0 + 0.01 * 10
    assert abs(start + BLOCK - (settling + 0.01 - began) * RATE_HZ) <= BLOCK
    assert driver.call()[1:] == (0, 0)


def test_a_new_beginning_before_the_first_frame_is_only_a_beginning() -> None:
    lane = Lane(RATE_HZ)
    lane.begin_anew()
    while not lane.settled(BLOCK, QUIET):
        pass
    assert lane.step(BLOCK, Times(1.0, 1.01, 1.1), QUIET, 5.0) == (0, 0, 0)
