"""The process that holds PortAudio, and the only one that may hang: its parent kills it.

Imports numpy, sounddevice and the standard library only; the callback copies and counts. It is told what to open in one line of
JSON on stdin, answers in one line on stdout, and leaves when stdin ends, so that it never outlives a parent that was killed.
"""

from __future__ import annotations

import contextlib
import gc
import json
import os
import sys
import threading
import time
from typing import Any, NoReturn

NICENESS = -11
"""Eight seconds of JACK at 256 frames beside six busy processes on two cores: 1 xrun with it, 8 without."""

LOOK_SECONDS = 0.1
TRY_AGAIN_SECONDS = 20.0
MOST_BEGINNINGS = 3
SPIN_SECONDS = 2.0
SPIN_SHARE = 0.35
"""Copying takes 1 to 3 % of a core; a driver that is always ready because its buffer never empties takes 45 to 95 %."""

LEAVE_SECONDS = 0.5
"""What a stream gets to stop by itself when asked to; a dead server would keep it for ever."""


def main() -> None:
    """Serve one link."""
    order: dict[str, Any] = json.loads(sys.stdin.readline())
    _hurry()
    sounddevice = imported()

    from audio.devices import _choice, _rings, _streams
    from audio.devices._callback import Callbacks
    from audio.devices._memory import inherited
    from audio.devices._pulse import SourceWatch

    size = _rings.size_bytes(order["channels_in"], order["channels_out"])
    shared = _rings.Shared(inherited(order["memory"], size), order["channels_in"], order["channels_out"])
    gc.freeze()
    gc.disable()  # a collection in a callback would be heard; nothing here makes cycles
    try:
        devices = _choice.chosen(sounddevice, order)
        callbacks, streams, told = _streams.opened(sounddevice, devices, order, lambda shape: Callbacks(shared, shape))
    except _choice.Refused as err:
        leave({"trouble": err.kind, "says": str(err), **err.more})
    ended = threading.Event()
    callbacks.on_fault = ended.set
    threading.Thread(target=_wait_for_end, args=(ended,), daemon=True).start()
    say(told)
    watch, source = _Watch(), SourceWatch() if told["input_host"] == "ALSA" else None
    while not ended.wait(LOOK_SECONDS):
        if source is not None and source.gone():
            leave({"trouble": "ended", "says": "the microphone has vanished"})
        # a device pulled out ends its stream on some systems; on others callbacks just stop, which the parent sees
        stopped = not all(stream.active for stream in streams)
        if stopped and (callbacks.fault or not watch.may_begin_anew()):
            leave({"trouble": "ended", "says": callbacks.fault or "the device has ended the stream"})
        if stopped or callbacks.displaced or watch.spins():
            _begin_anew(sounddevice, streams, callbacks)
    if callbacks.fault:
        leave({"trouble": "ended", "says": callbacks.fault})
    stopper = threading.Thread(target=_stop, args=(sounddevice, streams), daemon=True)
    stopper.start()
    stopper.join(LEAVE_SECONDS)
    os._exit(0)  # neither close() nor the interpreter's own end returns when the server is dead


def _hurry() -> None:
    """Ask for what priority this user may have; threads made from here on inherit it.

    Not for real-time priority: a driver that spins (``_Watch``) would use up the share that the system leaves to all that have it, and
    the sound server with them. JACK gives the thread of its callback that priority by itself.
    """
    if hasattr(os, "nice"):
        with contextlib.suppress(OSError):
            os.nice(NICENESS)


def imported() -> Any:
    """sounddevice; leaves with what is missing."""
    try:
        import sounddevice
    except ImportError as err:
        leave({"trouble": "package", "says": str(err)})
    except OSError as err:  # the package is there, PortAudio itself is not
        leave({"trouble": "library", "says": str(err)})
    return sounddevice


def say(table: dict[str, Any]) -> None:
    """One line to the parent."""
    sys.stdout.write(json.dumps(table) + "\n")
    sys.stdout.flush()


def leave(table: dict[str, Any]) -> NoReturn:
    """Say it and go without a look back."""
    try:
        say(table)
    finally:
        os._exit(1)


class _Watch:
    """Counts new beginnings, and sees a driver that spins because old input never leaves it."""

    def __init__(self) -> None:
        self._begun: list[float] = []
        self._since = (time.perf_counter(), time.process_time())

    def may_begin_anew(self) -> bool:
        """Whether a stream that ended by itself may be tried again: not when it keeps ending."""
        now = time.perf_counter()
        self._begun = [at for at in self._begun if now - at < TRY_AGAIN_SECONDS] + [now]
        return len(self._begun) <= MOST_BEGINNINGS

    def spins(self) -> bool:
        """Whether this process has been busy for two seconds, as copying sound never makes it; told at most a few times."""
        now, used = time.perf_counter(), time.process_time()
        since, before = self._since
        if now - since < SPIN_SECONDS:
            return False
        self._since = (now, used)
        return (used - before) / (now - since) > SPIN_SHARE and self.may_begin_anew()


def _begin_anew(sounddevice: Any, streams: list[Any], callbacks: Any) -> None:
    """Throw away what has piled up in the driver during a stall."""
    try:
        for stream in streams:
            stream.abort()
        callbacks.begin_anew()
        for stream in streams:
            stream.start()
    except sounddevice.PortAudioError as err:
        leave({"trouble": "ended", "says": str(err)})


def _stop(sounddevice: Any, streams: list[Any]) -> None:
    """Take leave of the server as it wants it: JACK misses its beat when a client is simply gone."""
    for stream in streams:
        stream.stop()
        stream.close()
    sounddevice._terminate()  # PortAudio's own end, else left to the interpreter's


def _wait_for_end(ended: threading.Event) -> None:
    while sys.stdin.readline():
        pass
    ended.set()
