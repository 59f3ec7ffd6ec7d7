"""Links on a real JACK server with its dummy driver: no card, exact timing."""

from __future__ import annotations

import os
import signal
import time
from pathlib import Path

import numpy as np
import psutil
import pytest
import servers
from real_links import cents_of, heard_for, heard_until, joined, lag_frames, on_one_axis, save, tone

from audio.devices import SoundWish, found, open_side_by_side, open_sound
from audio.devices._process import Child
from audio.devices.roundtrip import measure
from audio.devices.side_by_side import Place
from audio.errors import DeviceError

PERIODS = [{"period_frames": 256}, {"period_frames": 512}]


def noise(frames: int, channels: int = 2) -> np.ndarray:
    one = np.random.default_rng(8).standard_normal(frames) * 0.05
    return np.repeat(one[:, None], channels, axis=1).astype(np.float32)


@pytest.mark.parametrize("jack", PERIODS, indirect=True)
def test_frames_are_counted_as_the_servers_clock_counts_them(jack: servers.Server) -> None:
    with open_sound() as link:
        assert link.rate_hz == 48_000
        assert f"-p {link.block_frames} " in f"{' '.join(jack.process.args)} "
        blocks = heard_for(link, 1.5)
    assert on_one_axis(blocks)
    assert blocks[0].channels == ("mic1", "played1", "played2")
    seconds = (blocks[-1].end_frame - blocks[0].start_frame) / 48_000
    passed = blocks[-1].host_seconds - blocks[0].host_seconds + len(blocks[-1].samples) / 48_000
    assert abs(seconds - passed) < 0.1


@pytest.mark.parametrize("jack", PERIODS, indirect=True)
def test_what_was_played_lies_beside_what_was_heard_to_the_sample(jack: servers.Server) -> None:
    """A client joined to itself hears itself in the next cycle: one period, by the way JACK runs a loop in its graph."""
    with open_sound(SoundWish(fade_in_seconds=0)) as link:
        servers.leak_through_jack(jack)
        link.play(link.write_until() + 12_000, noise(24_000))
        blocks = heard_for(link, 1.4)
    _, heard = joined(blocks, "mic1")
    _, played = joined(blocks, "played1")
    assert np.std(played) > 0.01
    assert lag_frames(played, heard) == link.block_frames


@pytest.mark.parametrize(("jack", "blocks"), [(PERIODS[0], None), (PERIODS[1], 256)], indirect=["jack"])
def test_the_round_trip_is_whole_periods_and_repeats(jack: servers.Server, blocks: int | None) -> None:
    with open_sound(SoundWish(block_frames=blocks)) as link:
        servers.leak_through_jack(jack)
        trips = [measure(link) for _ in range(2)]
    frames = [trip.frames(48_000) if trip else None for trip in trips]
    assert frames[0] is not None
    assert frames[0] % 256 == 0
    assert 256 <= frames[0] <= 3 * 512
    assert frames == [frames[0]] * 2
    assert all(trip is not None and trip.spread_ms < 0.3 and abs(trip.bleed_db or 0.0) < 0.5 for trip in trips)


def test_a_separate_process_sings_into_the_microphone(jack: servers.Server, tmp_path: Path) -> None:
    recording = save(tmp_path / "sung.wav", tone(440 * 2 ** (30 / 1200), 4.0))
    with open_sound() as link, servers.sung_through_jack(jack, recording):
        link.read()
        blocks = heard_for(link, 1.0)
    _, heard = joined(blocks, "mic1")
    assert abs(cents_of(heard[-24_000:], 440.0, 48_000) - 30) < 1


def test_four_microphones_are_four_channels(there: None, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    with servers.jack(microphones=4) as server:
        servers.reach(server, monkeypatch)
        recording = save(tmp_path / "sung.wav", tone(330, 8.0))
        with (
            open_sound(SoundWish(channels_in=4)) as link,
            servers.sung_through_jack(server, recording, into="PortAudio:in_2"),
        ):
            blocks = heard_until(link, "mic3")
    assert blocks[0].channels[:4] == ("mic1", "mic2", "mic3", "mic4")
    levels = [float(np.std(joined(blocks, name)[1])) for name in blocks[0].channels[:4]]
    levels[2] = float(np.std(joined(blocks, "mic3")[1][-9_600:]))
    assert levels[2] > 0.01
    assert levels[0] == levels[1] == levels[3] == 0.0


def test_more_microphones_than_there_are_is_refused(jack: servers.Server) -> None:
    with pytest.raises(DeviceError, match="4 are wanted"):
        open_sound(SoundWish(channels_in=4))


def test_a_child_that_was_held_up_loses_frames_and_says_so(jack: servers.Server) -> None:
    with open_sound() as link:
        before = heard_for(link, 0.3)
        process = link._child.process
        os.kill(process.pid, signal.SIGSTOP)
        try:
            time.sleep(0.15)
        finally:
            os.kill(process.pid, signal.SIGCONT)
        blocks = before + heard_for(link, 0.6)
        flags = link.flags()
    assert flags.xruns >= 1
    assert flags.lost_frames >= 1
    assert flags.lost_frames == sum(block.lost_frames_before for block in blocks)
    assert flags.last_flagged_frame is not None
    assert on_one_axis(blocks)


def test_another_rate_than_the_servers_is_taken_from_the_server(there: None, monkeypatch: pytest.MonkeyPatch) -> None:
    with servers.jack(rate_hz=44_100) as server:
        servers.reach(server, monkeypatch)
        with open_sound(SoundWish(rate_hz=48_000)) as link:
            assert link.rate_hz == 44_100
            heard_for(link, 0.3)


def test_what_is_plugged_in_is_found_by_name(jack: servers.Server) -> None:
    here = found()
    assert (here.inputs[0].name, here.inputs[0].channels, here.inputs[0].usual) == ("system", 1, True)
    assert (here.outputs[0].name, here.outputs[0].channels) == ("system", 2)
    assert here.inputs[0].host.startswith("JACK")
    assert here.inputs[0].default_rate_hz == 48_000


def test_a_part_of_a_name_is_enough(jack: servers.Server) -> None:
    with open_sound(SoundWish(input_name="SYST", output_name="system")) as link:
        assert (link.input_name, link.output_name) == ("system", "system")


def test_only_a_loudspeaker_and_only_a_microphone_are_links_too(jack: servers.Server) -> None:
    with open_sound(SoundWish(channels_in=0)) as link:
        link.play(link.write_until() + 2_000, noise(9_600))
        blocks = heard_for(link, 0.4)
        assert blocks[0].channels == ("played1", "played2")
        assert float(np.abs(joined(blocks, "played1")[1]).max()) > 0.01
    with open_sound(SoundWish(channels_out=0)) as link:
        assert link.output_name == ""
        assert heard_for(link, 0.4)[0].channels == ("mic1",)


def test_two_clients_that_listen_hear_one_sound_at_one_frame_of_the_axis(jack: servers.Server) -> None:
    wish = SoundWish(input_name="system", channels_out=0)
    with open_side_by_side(SoundWish(channels_in=0), [wish, wish], [Place(0, 1), Place(1, 1)]) as link:
        (mouth,) = servers.ports(jack, ":out_0")
        ears = servers.ports(jack, ":in_0")
        assert len(ears) == 2
        for ear in ears:
            servers.join(jack, mouth, ear)
        heard_for(link, 1.2)
        link.play(link.write_until() + 9_600, noise(19_200))
        blocks = heard_for(link, 1.0)
        assert link.alive
    played = joined(blocks, "played1")[1]
    places = [lag_frames(played, joined(blocks, name)[1]) for name in ("mic1", "mic2")]
    assert abs(places[0] - places[1]) <= 24, places  # half a millisecond
    assert 0 <= places[0] <= 2_400


def test_ctrl_c_while_the_second_of_two_opens_leaves_neither_open(
    jack: servers.Server, monkeypatch: pytest.MonkeyPatch
) -> None:
    answer = Child.answer
    asked: list[Child] = []

    def pressed_at_the_second(child: Child, seconds: float) -> dict[str, object]:
        asked.append(child)
        if len(asked) == 2:
            os.kill(os.getpid(), signal.SIGINT)
        return answer(child, seconds)

    monkeypatch.setattr(Child, "answer", pressed_at_the_second)
    wish = SoundWish(channels_out=0)
    before = signal.signal(signal.SIGINT, signal.default_int_handler)  # a run in the background ignores it
    try:
        with pytest.raises(KeyboardInterrupt):
            open_side_by_side(SoundWish(channels_in=0), [wish, wish], [Place(0, 1), Place(1, 1)])
    finally:
        signal.signal(signal.SIGINT, before)
    assert psutil.Process().children() == [psutil.Process(jack.process.pid)]


def test_closing_leaves_no_process_behind(jack: servers.Server) -> None:
    link = open_sound()
    process = link._child.process
    began = time.monotonic()
    link.close()
    link.close()
    assert process.poll() is not None
    assert time.monotonic() - began < 2
    assert not link.alive


def test_the_child_leaves_when_its_parent_was_killed(jack: servers.Server) -> None:
    done = jack.python(
        "import os; from audio.devices import open_sound; link = open_sound(); "
        "print(link._child.process.pid, flush=True); os._exit(1)"
    )
    pid = int(done.stdout)
    until = time.monotonic() + 5
    while psutil.pid_exists(pid) and psutil.Process(pid).status() != psutil.STATUS_ZOMBIE:
        assert time.monotonic() < until
        time.sleep(0.02)
