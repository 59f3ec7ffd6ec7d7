"""A keyboard in a process of its own, on JACK's own clock: it hears what heldline sounds and sends MIDI.

``jack_keyboard.py COUNT`` presses COUNT keys half a second apart once it reads "go", and says for each how many milliseconds
passed from sending to the first sample heard, and in a second line when each was pressed (``time.monotonic_ns``). Its port is
"organ:keys"; it needs to be joined to heldline's output to hear it.
"""

from __future__ import annotations

import sys
import threading
import time

import numpy as np
import rtmidi
import sounddevice
from listening_singer import SILENCE

RATE_HZ = 48_000


class Answer:
    """Presses keys and times the answers."""

    def __init__(self, send, count: int) -> None:
        self.send, self.count = send, count
        self.frame = 0
        self.pressed_at: int | None = None
        self.next_at: int | None = None
        self.heard_ms: list[float] = []
        self.pressed_ns: list[int] = []
        self.going, self.over = threading.Event(), threading.Event()

    def __call__(self, heard: np.ndarray, out: np.ndarray, frames: int, _time: object, _flags: object) -> None:
        out[:] = 0
        if self.going.is_set() and self.next_at is None:
            self.next_at = self.frame + RATE_HZ
        loud = np.flatnonzero(np.abs(heard[:, 0]) > SILENCE)
        if self.pressed_at is not None and len(loud):
            self.heard_ms.append((self.frame + int(loud[0]) - self.pressed_at) * 1000 / RATE_HZ)
            self.pressed_at = None
        midi = 60 + len(self.heard_ms) % 12
        if self.next_at is not None and self.frame >= self.next_at:
            if len(self.heard_ms) >= self.count:
                self.over.set()
            else:
                self.send([0x90, midi, 64])
                self.pressed_at = self.frame
                self.pressed_ns.append(time.monotonic_ns())
            self.next_at = self.frame + RATE_HZ // 2
            self.release = (self.frame + RATE_HZ // 4, midi)
        elif self.next_at is not None and getattr(self, "release", (1 << 60, 0))[0] <= self.frame:
            for key in range(60, 72):
                self.send([0x80, key, 0])
            self.release = (1 << 60, 0)
        self.frame += frames


def main() -> None:
    port = rtmidi.MidiOut(rtmidi.API_UNIX_JACK, name="organ")
    port.open_virtual_port("keys")
    made = Answer(port.send_message, int(sys.argv[1]))
    with sounddevice.Stream(samplerate=RATE_HZ, channels=1, device=("system", "system"), latency="low", callback=made):
        print("ready", flush=True)
        sys.stdin.readline()
        made.going.set()
        made.over.wait(90)
        print(" ".join(f"{ms:.1f}" for ms in made.heard_ms), flush=True)
        print(" ".join(map(str, made.pressed_ns)), flush=True)
        sys.stdin.readline()


if __name__ == "__main__":
    main()
