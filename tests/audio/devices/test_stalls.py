"""A process or a server that stood still for a while: the sound comes back in time, and what was lost is said."""

from __future__ import annotations

import os
import signal
import time

import psutil
import pytest
import servers
from real_links import heard_for, on_one_axis

from audio.devices import open_sound
from audio.devices.roundtrip import measure


def stall(pid: int, seconds: float) -> None:
    """Stop a process for so long."""
    os.kill(pid, signal.SIGSTOP)
    try:
        time.sleep(seconds)
    finally:
        os.kill(pid, signal.SIGCONT)


@pytest.mark.parametrize("who", ["child", "server"])
def test_a_stall_on_pulse_is_flagged_and_the_delay_comes_back(pulse: servers.Server, who: str) -> None:
    """Without a new beginning the delay stayed longer by the whole stall and the driver spun at 45 to 95 % of a core."""
    with open_sound() as link:
        process = link._child.process
        blocks = heard_for(link, 1.0)
        before = link.reported_round_trip_frames
        stall(process.pid if who == "child" else pulse.process.pid, 0.6)
        blocks += heard_for(link, 2.0)
        used, began = sum(psutil.Process(process.pid).cpu_times()[:2]), time.perf_counter()
        blocks += heard_for(link, 1.5)
        share = (sum(psutil.Process(process.pid).cpu_times()[:2]) - used) / (time.perf_counter() - began)
        after, flags = link.reported_round_trip_frames, link.flags()
    assert on_one_axis(blocks)
    assert flags.xruns >= 1
    assert flags.last_flagged_frame is not None
    assert flags.lost_frames == sum(block.lost_frames_before for block in blocks)
    assert flags.lost_frames > 0.4 * 48_000
    assert before is not None
    assert after is not None
    assert abs(after - before) < 0.06 * 48_000
    assert share < 0.25, share
    # music stays in time: the axis has gone on as the clock has
    axis = (blocks[-1].start_frame - blocks[0].start_frame) / 48_000
    clock = blocks[-1].host_seconds - blocks[0].host_seconds
    assert abs(axis - clock) < 0.1, (axis, clock)


def test_the_round_trip_after_a_stall_is_the_one_before(pulse: servers.Server) -> None:
    servers.leak_through_pulse(pulse)
    with open_sound() as link:
        heard_for(link, 1.5)
        before = measure(link)
        stall(link._child.process.pid, 0.6)
        heard_for(link, 2.5)
        after = measure(link)
    assert before is not None
    assert after is not None
    assert abs(after.round_trip_ms - before.round_trip_ms) < 60


def test_a_stall_on_jack_loses_only_its_own_length(jack: servers.Server) -> None:
    with open_sound() as link:
        blocks = heard_for(link, 0.5)
        before = link.reported_round_trip_frames
        stall(link._child.process.pid, 0.2)
        blocks += heard_for(link, 0.7)
        flags, after = link.flags(), link.reported_round_trip_frames
    assert on_one_axis(blocks)
    assert flags.xruns >= 1
    assert 0.1 * 48_000 < flags.lost_frames < 0.4 * 48_000
    assert after == before
