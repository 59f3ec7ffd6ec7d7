"""MIDI ports through python-rtmidi, every way of the system tried; runs in child processes only.

On Linux the sequencer of ALSA is tried first and JACK next, since a machine may have either, both or none. Where ``MIDO_BACKEND``
is set, that library of mido's is used instead.
"""

from __future__ import annotations

import contextlib
import os
import re
import threading
import time
from collections.abc import Callable
from typing import Any

from audio.devices._midi_clock import DriversClock

Arrived = Callable[[int, bytes], None]
"""When, in nanoseconds of ``time.perf_counter``, and what."""

Send = Callable[[bytes], None]
UNWANTED = (0xF0, 0xF1, 0xF8)
"""System exclusive, time code and clock: nothing of them is for us."""

_NUMBERS = re.compile(r" \d+:\d+$")
"""ALSA ends a port's name with numbers that change from one plugging in to the next; names are remembered without them."""

OWN_CLIENT = "heldline"
_OURS = re.compile(rf"{OWN_CLIENT}(-\d+)?:")
"""Ports of our own, of this process and of others: nobody is to be joined to himself."""


class Absent(Exception):
    """Why there is no port: *kind* is package, none, unknown or refused."""

    def __init__(self, kind: str, says: str, names: tuple[str, ...] = ()) -> None:
        super().__init__(says)
        self.kind = kind
        self.names = names


def listed() -> dict[str, Any]:
    """Names of inputs and outputs, or the trouble."""
    try:
        found = {direction: names(direction) for direction in ("input", "output")}
        return {**found, "through": [name for rows in found.values() for name in rows if is_through(name)]}
    except Absent as err:
        return {"trouble": err.kind, "says": str(err)}


def names(direction: str) -> list[str]:
    """Ports of a direction without the numbers. Raises Absent."""
    if os.environ.get("MIDO_BACKEND"):
        found = _mido_names(direction)
    else:
        found = [name for port in _ways(direction) for name in _port_names(port, delete=True)]
    return list(dict.fromkeys(_NUMBERS.sub("", name) for name in found))


def is_through(name: str) -> bool:
    """Whether a port only passes on what other programs send."""
    return "midi through" in name.lower() or name.lower().startswith("midi-through")


def fitting(found: list[str], wanted: str | None, direction: str) -> str:
    """The port that is meant. Raises Absent."""
    real = [name for name in found if not is_through(name)]
    if wanted is None:
        if not real:
            raise Absent("through" if found else "none", f"no {direction}", tuple(found))
        return real[0]
    low = wanted.casefold()
    for same in (lambda name: name == wanted, lambda name: name.casefold() == low, lambda name: low in name.casefold()):
        likely = [name for name in found if same(name)]
        if len(likely) == 1:
            return likely[0]
        if likely:
            raise Absent("several", wanted, tuple(likely))
    raise Absent("unknown" if found else "none", wanted, tuple(found))


_opened: list[Any] = []


def close_all() -> None:
    """Take leave of the system with every port opened here."""
    for port in _opened:
        with contextlib.suppress(Exception):
            if hasattr(port, "close_port"):
                port.close_port()
                port.delete()
            else:
                port.close()


def opened_input(wanted: str | None, arrived: Arrived) -> tuple[str, Callable[[], bool]]:
    """The port's name, and whether it is still there; *arrived* is called for each message. Raises Absent."""
    if os.environ.get("MIDO_BACKEND"):
        import mido

        name = fitting(names("input"), wanted, "input")
        port = _mido_open(
            mido.open_input, name, callback=lambda message: arrived(time.perf_counter_ns(), bytes(message.bytes()))
        )
        return name, lambda: not port.closed
    name, port, index = _found("input", wanted)
    port.ignore_types(
        sysex=False, timing=False, active_sense=False
    )  # each message's time counts from the one before it
    clock = DriversClock()

    def came(event: tuple[list[int], float], _: object) -> None:
        came_ns = clock.came_ns(time.perf_counter_ns(), event[1])
        if event[0][0] not in UNWANTED:
            arrived(came_ns, bytes(event[0]))

    port.set_callback(came)
    return name, _open(port, index, name)


def opened_output(wanted: str | None) -> tuple[str, Send, Callable[[], bool]]:
    """The port's name, a function that sends one message, and whether it is still there. Raises Absent."""
    if os.environ.get("MIDO_BACKEND"):
        import mido

        name = fitting(names("output"), wanted, "output")
        out = _mido_open(mido.open_output, name)
        return name, lambda message: out.send(mido.Message.from_bytes(message)), lambda: not out.closed
    name, port, index = _found("output", wanted)
    there = _open(port, index, name)
    return name, lambda message: port.send_message(list(message)), there


def _found(direction: str, wanted: str | None) -> tuple[str, Any, int]:
    """Name, rtmidi object and index of the port that is meant, over all ways. Raises Absent."""
    rows = [
        (_NUMBERS.sub("", name), way, index)
        for way in _ways(direction)
        for index, name in enumerate(_port_names(way, delete=False))
    ]
    name = fitting([name for name, _, _ in rows], wanted, direction)
    return next(row for row in rows if row[0] == name)


def _open(port: Any, index: int, name: str) -> Callable[[], bool]:
    """Open it, and give what tells whether it is still there."""
    full = port.get_ports()[index]
    _opened.append(port)
    try:
        port.open_port(index, direction_name(port))
    except Exception as err:  # rtmidi has a family of its own errors, all OSError or RuntimeError
        raise Absent("refused", str(err), (name,)) from err
    threads = _drivers_threads()
    # a client whose JACK server died still gets the old list of ports; what tells is that the driver's own thread has ended
    return lambda: _drivers_threads() >= threads and full in _port_names(port, delete=False)


def _drivers_threads() -> int:
    """Threads of this process that are not Python's, where the system shows them; 0 elsewhere."""
    with contextlib.suppress(OSError):
        ours = sum(not isinstance(one, threading._DummyThread) for one in threading.enumerate())
        return len(os.listdir("/proc/self/task")) - ours
    return 0


def direction_name(port: Any) -> str:
    """Name of our own end."""
    return "keys" if type(port).__name__ == "MidiIn" else "voices"


def _ways(direction: str) -> list[Any]:
    """One rtmidi object for each way of the system that works. Raises Absent when there is no library or no way."""
    try:
        import rtmidi
    except ImportError as err:
        raise Absent("package", str(err)) from err
    kind = rtmidi.MidiIn if direction == "input" else rtmidi.MidiOut
    found, errors = [], []
    for way in rtmidi.get_compiled_api():
        if way == rtmidi.API_RTMIDI_DUMMY:
            continue
        try:
            found.append(kind(way, name=OWN_CLIENT))
        except Exception as err:  # a way that this machine lacks: no sequencer, no JACK server
            errors.append(str(err))
    if not found:
        raise Absent("none", "; ".join(errors))
    return found


def _port_names(port: Any, *, delete: bool) -> list[str]:
    try:
        found = [str(name) for name in port.get_ports()]
    except Exception:  # the server died meanwhile
        return []
    if delete:
        port.delete()
    return [name for name in found if not _OURS.match(name)]


def _mido_names(direction: str) -> list[str]:
    try:
        import mido

        return list(mido.get_input_names() if direction == "input" else mido.get_output_names())
    except ImportError as err:
        raise Absent("package", str(err)) from err
    except Exception as err:
        raise Absent("none", str(err)) from err


def _mido_open(kind: Any, name: str, **more: Any) -> Any:
    try:
        _opened.append(kind(name, **more))
        return _opened[-1]
    except Exception as err:
        raise Absent("refused", str(err), (name,)) from err
