"""An ear in a process of its own: ``listening_ear.py [INPUT OUTPUT]`` says "ready", then "NS" for each sound after a quarter of silence.

The time is that of its first sample by ``time.monotonic_ns``, as exact as a callback is punctual.
"""

from __future__ import annotations

import sys
import threading
import time

import numpy as np
import sounddevice
from listening_singer import QUIET_S, SILENCE

RATE_HZ = 48_000


class Ear:
    def __init__(self) -> None:
        self.quiet = 0
        self.told: list[int] = []
        self.news = threading.Event()

    def __call__(self, heard: np.ndarray, frames: int, _time: object, _flags: object) -> None:
        now = time.monotonic_ns()
        loud = np.flatnonzero(np.abs(heard[:, 0]) > SILENCE)
        if not len(loud):
            self.quiet += frames
            return
        if self.quiet + int(loud[0]) >= QUIET_S * RATE_HZ:
            self.told.append(now - (frames - int(loud[0])) * 1_000_000_000 // RATE_HZ)
            self.news.set()
        self.quiet = frames - 1 - int(loud[-1])


def main() -> None:
    ear, device = Ear(), sys.argv[1] if len(sys.argv) > 1 else None
    with sounddevice.InputStream(samplerate=RATE_HZ, channels=1, device=device, latency="low", callback=ear):
        print("ready", flush=True)
        while True:
            ear.news.wait()
            ear.news.clear()
            while ear.told:
                print(ear.told.pop(0), flush=True)


if __name__ == "__main__":
    main()
