"""Keys and synths through real MIDI between two processes, on JACK."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest
import servers

from audio.devices import found, open_keys, open_synth
from audio.devices.keys_link import KeyMoved, KeysLink
from audio.errors import DeviceError

KEYBOARD = """
import rtmidi, sys, time
port = rtmidi.MidiOut(rtmidi.API_UNIX_JACK, name="organ")
port.open_virtual_port("keys")
print("ready", flush=True)
for line in sys.stdin:
    began = time.perf_counter_ns()
    port.send_message(bytes.fromhex(line.strip()))
    print(began, flush=True)
"""

SYNTH = """
import rtmidi, sys, time
port = rtmidi.MidiIn(rtmidi.API_UNIX_JACK, name="reed")
port.open_virtual_port("pipes")
port.ignore_types(False, False, False)
port.set_callback(lambda event, _: print(bytes(event[0]).hex(), flush=True))
print("ready", flush=True)
sys.stdin.read()
"""


class Program:
    """A separate process that we speak to in lines."""

    def __init__(self, process: subprocess.Popen[str]) -> None:
        self.process = process

    def line(self) -> str:
        assert self.process.stdout is not None
        return self.process.stdout.readline().strip()

    def send(self, message: str) -> int:
        """Have the keyboard send; when it did, nanoseconds."""
        assert self.process.stdin is not None
        self.process.stdin.write(f"{message}\n")
        self.process.stdin.flush()
        return int(self.line())


@contextmanager
def program(server: servers.Server, code: str) -> Iterator[Program]:
    process = subprocess.Popen(
        [sys.executable, "-c", code],
        env=server.env,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    )
    try:
        made = Program(process)
        assert made.line() == "ready"
        yield made
    finally:
        process.kill()
        process.communicate()


def moves(keys: KeysLink, enough: Callable[[list[KeyMoved]], bool], seconds: float = 5.0) -> list[KeyMoved]:
    """What moves until it is *enough*."""
    got: list[KeyMoved] = []
    until = time.monotonic() + seconds
    while not enough(got):
        got += keys.read()
        assert time.monotonic() < until, got
        time.sleep(0.001)
    return got


def test_a_keyed_note_arrives_within_twenty_milliseconds(jack: servers.Server) -> None:
    late_ms = []
    with program(jack, KEYBOARD) as organ, open_keys() as keys:
        assert keys.name == "organ:keys"
        for midi in range(48, 78):
            sent_ns = organ.send(f"90{midi:02x}40")
            (move,) = moves(keys, bool)
            assert (move.midi, move.velocity, move.channel, move.forced) == (midi, 64, 0, False)
            late_ms.append(move.at_seconds * 1000 - sent_ns / 1e6)
            organ.send(f"80{midi:02x}00")
            assert not moves(keys, bool)[0].down
    late_ms.sort()
    assert late_ms[len(late_ms) // 2] < 12, late_ms
    assert late_ms[-2] < 20, late_ms  # one in thirty may meet a busy machine
    assert late_ms[0] > 0


def test_running_status_and_active_sensing_come_through_a_real_port(jack: servers.Server) -> None:
    with program(jack, KEYBOARD) as organ, open_keys("organ") as keys:
        organ.send("fe")
        organ.send("903c40")
        organ.send("904040")
        organ.send("3c00")  # by running status
        got = moves(keys, lambda got: len(got) >= 3)
        assert [(one.midi, one.velocity) for one in got] == [(60, 64), (64, 64), (60, 0)]
        # it promised to keep in touch and does not: what is still down comes up
        (last,) = moves(keys, bool)
        assert (last.midi, last.velocity, last.forced) == (64, 0, True)
        assert keys.alive


def test_a_keyboard_pulled_out_lets_its_keys_come_up(jack: servers.Server) -> None:
    with program(jack, KEYBOARD) as organ, open_keys() as keys:
        organ.send("903c40")
        moves(keys, bool)
        organ.process.kill()
        (move,) = moves(keys, bool)
        assert (move.midi, move.velocity, move.forced) == (60, 0, True)
        assert not keys.alive
        assert keys.read() == []


def test_a_server_killed_under_the_keys_is_told_and_closing_does_not_hang(jack: servers.Server) -> None:
    with program(jack, KEYBOARD) as organ, open_keys() as keys:
        organ.send("903c40")
        moves(keys, bool)
        jack.kill()
        (move,) = moves(keys, bool)
        assert move.forced
        assert not keys.alive
        began = time.monotonic()
        keys.close()
        assert time.monotonic() - began < 2


def test_keys_still_down_come_up_when_the_link_is_closed(jack: servers.Server) -> None:
    with program(jack, KEYBOARD) as organ:
        keys = open_keys()
        organ.send("903c40")
        moves(keys, bool)
        keys.close()
        assert [(one.midi, one.forced) for one in keys.read()] == [(60, True)]


def test_a_synth_sounds_what_it_is_sent_and_is_silenced_at_the_end(jack: servers.Server) -> None:
    with program(jack, SYNTH) as reed:
        with open_synth() as synth:
            assert synth.name == "reed:pipes"
            synth.program(19)
            synth.note_on(60, 80)
            synth.note_on(64, 80, channel=1)
            synth.note_off(60)
            assert [reed.line() for _ in range(4)] == ["c013", "903c50", "914050", "803c00"]
        rest = {reed.line() for _ in range(3)}
        assert {"b07b00", "b17b00", "814000"} == rest  # all notes off on both channels, and the note that was left


def test_a_synth_is_silenced_even_when_its_program_is_killed(jack: servers.Server) -> None:
    with program(jack, SYNTH) as reed:
        jack.python(
            "import os; from audio.devices import open_synth; s = open_synth(); s.note_on(60, 80); "
            "import time; time.sleep(0.3); os._exit(1)"
        )
        assert reed.line() == "903c50"
        assert reed.line() == "803c00"


def test_a_synth_that_is_gone_is_an_error_with_its_name(jack: servers.Server) -> None:
    with program(jack, SYNTH) as reed, open_synth() as synth:
        reed.process.kill()
        reed.process.wait()
        until = time.monotonic() + 5
        with pytest.raises(DeviceError, match="reed:pipes"):  # noqa: PT012 - it takes a moment to be seen
            while time.monotonic() < until:
                synth.note_on(60, 80)
                time.sleep(0.02)


def test_ports_are_found_by_name_and_our_own_are_not_offered(jack: servers.Server) -> None:
    with program(jack, KEYBOARD), program(jack, SYNTH), open_keys("ORGAN"), open_synth("pipes"):
        here = found()
        assert (here.keys, here.synths) == (("organ:keys",), ("reed:pipes",))
        with pytest.raises(DeviceError, match="no MIDI keyboard called nowhere") as caught:
            open_keys("nowhere")
        assert "organ:keys" in caught.value.where
