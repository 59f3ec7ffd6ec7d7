"""An organ in a process of its own that plays MIDI at exact frames of JACK's clock, however busy the machine is.

``jack_organ.py COUNT_S SECOND:KEY:VELOCITY ...`` says "ready", and once it reads "go" it waits at its port "organ:ear" for the first click
of a count (sound after a quarter of a second of silence with most of its power at 1500 Hz) and plays at "organ:keys" from where the
music begins; then it says "done". All of that happens in JACK's own thread and in machine code: no Python can hold it up, and an event
stands at its own frame of the period in which it is due. It shares nothing with the project but the pitch of a click.

The calls are those of the JACK API (jack/jack.h, jack/midiport.h).
"""

from __future__ import annotations

import ctypes
import math
import sys
import time
from collections.abc import Callable

import numpy as np
from numba import carray, cfunc, types

CLICK_HZ, NEAR_HZ = 1_500.0, 150.0
SILENCE = 1e-5
QUIET_S, LOOK_S = 0.25, 0.02
NO_SERVER = 1
IS_INPUT, IS_OUTPUT = 1, 2
WAITS, LISTENS, HAS_HEARD, PLAYS, OVER = range(5)
DOING, ONSET, QUIET, NEXT, SEEN = range(5)
"""Places in the table that the callback and Python share; behind them the beginning of a click, then a row an event."""

HEAD = 8
Prototype = ctypes.CFUNCTYPE


class Organ:
    """A client of JACK.

    Parameters
    ----------
    count_s : float
        From the first click to the music.
    presses : list of (second, key, velocity)
        From where the music begins; velocity 0 lets a key go.
    """

    def __init__(self, count_s: float, presses: list[tuple[float, int, int]]) -> None:
        lib = self._lib = ctypes.CDLL("libjack.so.0")
        for name in ("jack_client_open", "jack_port_register"):
            getattr(lib, name).restype = ctypes.c_void_p
        self._client = ctypes.c_void_p(lib.jack_client_open(b"organ", NO_SERVER, None))
        if not self._client:
            raise SystemExit("there is no JACK server")
        ear, keys = (
            lib.jack_port_register(self._client, name, kind, flags, 0)
            for name, kind, flags in (
                (b"ear", b"32 bit float mono audio", IS_INPUT),
                (b"keys", b"8 bit raw midi", IS_OUTPUT),
            )
        )
        self.rate_hz = int(lib.jack_get_sample_rate(self._client))
        look = round(LOOK_S * self.rate_hz)
        presses = sorted(presses)
        self._messages = np.array([[0x90 if loud else 0x80, key, loud] for _, key, loud in presses], np.uint8)
        self.table = np.zeros(HEAD + look + 2 * len(presses))
        rows = self.table[HEAD + look :].reshape(-1, 2)
        rows[:, 0] = [round((count_s + at) * self.rate_hz) for at, _, _ in presses]
        rows[:, 1] = self._messages.ctypes.data + 3 * np.arange(len(presses))
        self._callback = callback(lib, self._client.value or 0, ear, keys, self.rate_hz, len(self.table), look)
        lib.jack_set_process_callback(self._client, self._callback.ctypes, ctypes.c_void_p(self.table.ctypes.data))
        if lib.jack_activate(self._client):
            raise SystemExit("JACK takes no more clients")

    def close(self) -> None:
        """Leave the server."""
        self._lib.jack_client_close(self._client)


def callback(
    lib: ctypes.CDLL, client: int, ear: int, keys: int, rate_hz: int, size: int, look: int
) -> Callable[..., int]:
    """What JACK calls for every period; addresses of ports and messages are numbers here."""
    sound_at = Prototype(ctypes.POINTER(ctypes.c_float), ctypes.c_size_t, ctypes.c_uint32)(
        ("jack_port_get_buffer", lib)
    )
    midi_at = Prototype(ctypes.c_size_t, ctypes.c_size_t, ctypes.c_uint32)(("jack_port_get_buffer", lib))
    clear = Prototype(None, ctypes.c_size_t)(("jack_midi_clear_buffer", lib))
    write = Prototype(ctypes.c_int, ctypes.c_size_t, ctypes.c_uint32, ctypes.c_size_t, ctypes.c_size_t)(
        ("jack_midi_event_write", lib)
    )
    frame_now = Prototype(ctypes.c_uint32, ctypes.c_size_t)(("jack_last_frame_time", lib))
    quiet, events = round(QUIET_S * rate_hz), (size - HEAD - look) // 2
    lowest, highest = math.ceil((CLICK_HZ - NEAR_HZ) * LOOK_S), math.floor((CLICK_HZ + NEAR_HZ) * LOOK_S)

    @cfunc(types.int32(types.uint32, types.voidptr))
    def process(count, shared):  # type: ignore[no-untyped-def]
        table = carray(shared, (size,), np.float64)
        sound = carray(sound_at(ear, count), (count,))
        midi = midi_at(keys, count)
        clear(midi)
        start = float(frame_now(client))
        if table[DOING] == LISTENS or table[DOING] == HAS_HEARD:
            for k in range(count):
                if table[DOING] == HAS_HEARD:
                    table[HEAD + int(table[SEEN])] = sound[k]
                    table[SEEN] += 1
                    if table[SEEN] < look:
                        continue
                    near, whole = 0.0, 0.0
                    for j in range(look):
                        whole += table[HEAD + j] ** 2
                    for bin_ in range(lowest, highest + 1):
                        real, imaginary = 0.0, 0.0
                        for j in range(look):
                            turn = 2 * math.pi * bin_ * j / look
                            real += table[HEAD + j] * math.cos(turn)
                            imaginary += table[HEAD + j] * math.sin(turn)
                        near += 2 * (real**2 + imaginary**2) / look
                    table[DOING] = PLAYS if near > 0.5 * whole else LISTENS
                    table[QUIET] = 0
                    if near > 0.5 * whole:
                        break
                elif abs(sound[k]) <= SILENCE:
                    table[QUIET] += 1
                else:
                    if table[QUIET] >= quiet:
                        table[DOING], table[ONSET], table[SEEN] = HAS_HEARD, start + k, 1
                        table[HEAD] = sound[k]
                    table[QUIET] = 0
        if table[DOING] == PLAYS:
            while table[NEXT] < events:
                row = HEAD + look + 2 * int(table[NEXT])
                due = table[ONSET] + table[row] - start
                if due >= count:
                    break
                write(midi, np.uint32(max(due, 0.0)), np.uint64(table[row + 1]), np.uint64(3))
                table[NEXT] += 1
            if table[NEXT] >= events:
                table[DOING] = OVER
        return 0

    return process  # type: ignore[no-any-return]


def main() -> None:
    presses = []
    for word in sys.argv[2:]:
        second, key, velocity = word.split(":")
        presses.append((float(second), int(key), int(velocity)))
    organ = Organ(float(sys.argv[1]), presses)
    print("ready", flush=True)
    if sys.stdin.readline():
        organ.table[DOING] = LISTENS
        while organ.table[DOING] != OVER:
            time.sleep(0.01)
        print("done", flush=True)
        sys.stdin.readline()
    organ.close()


if __name__ == "__main__":
    main()
