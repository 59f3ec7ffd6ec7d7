"""The process that holds a MIDI port: stamps what arrives and passes it on, or sends what it is given and ends every note it began.

Lines to the parent: ``m NANOSECONDS HEX`` for a message, ``h NANOSECONDS`` a few times a second while the port is there. Lines from
the parent: ``HEX``, one message. The clock is ``time.perf_counter``, which all processes of a machine share.
"""

from __future__ import annotations

import contextlib
import json
import os
import sys
import threading
import time
from typing import NoReturn

from audio.devices import _midi_ports

LOOK_SECONDS = 0.1
PORT_LOOKS = 3
"""The list of ports is asked for at every third look."""

LEAVE_SECONDS = 0.4
DRAIN_SECONDS = 0.06
"""JACK sends with its next periods only: 1024 frames at 48 kHz are 21 ms, and one period is under way already."""

_writing = threading.Lock()


def main() -> None:
    """Serve one port."""
    order = json.loads(sys.stdin.readline())
    send: _midi_ports.Send | None
    try:
        if order["direction"] == "input":
            send = None
            name, there = _midi_ports.opened_input(order["name"], _arrived)
        else:
            name, send, there = _midi_ports.opened_output(order["name"])
    except _midi_ports.Absent as err:
        _leave({"trouble": err.kind, "says": str(err), "names": list(err.names)})
    _line(json.dumps({"name": name}))
    ended = threading.Event()
    threading.Thread(target=_from_parent, args=(ended, send), daemon=True).start()
    looks = 0
    while not ended.wait(LOOK_SECONDS):
        looks += 1
        if looks % PORT_LOOKS == 0 and not there():
            _leave({"says": f"{name} was unplugged"})
        _line(f"h {time.perf_counter_ns()}")
    closer = threading.Thread(target=_midi_ports.close_all, daemon=True)
    closer.start()
    closer.join(LEAVE_SECONDS)
    os._exit(0)  # a port's own end may hang when the server is dead


def _arrived(came_ns: int, message: bytes) -> None:
    _line(f"m {came_ns} {message.hex()}")


def _from_parent(ended: threading.Event, send: _midi_ports.Send | None) -> None:
    sounding: set[tuple[int, int]] = set()
    with contextlib.suppress(Exception):  # whatever breaks the pipe or the port, the notes must end
        for line in sys.stdin:
            message = bytes.fromhex(line.strip())
            if send is not None and message:
                send(message)
                key = (message[0] & 0x0F, message[1] if len(message) > 1 else 0)
                if message[0] & 0xF0 == 0x90 and message[2] > 0:
                    sounding.add(key)
                elif message[0] & 0xF0 in (0x80, 0x90):
                    sounding.discard(key)
    if send is not None:
        with contextlib.suppress(Exception):
            for channel, midi in sorted(sounding):
                send(bytes((0x80 | channel, midi, 0)))
        time.sleep(DRAIN_SECONDS)
    ended.set()


def _line(line: str) -> None:
    # a parent that is gone reads no more; what ends us is the end of stdin, once every note has ended
    with _writing, contextlib.suppress(OSError, ValueError):
        sys.stdout.write(line + "\n")
        sys.stdout.flush()


def _leave(table: dict[str, object]) -> NoReturn:
    try:
        _line(json.dumps(table))
    finally:
        os._exit(1)
