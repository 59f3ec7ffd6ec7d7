"""A singer in a process of its own: it hears the count through real sound and sings its recording on the beat.

Run as ``listening_singer.py RECORDING MUSIC_AT_S COUNT_S [INPUT OUTPUT]``. Until it reads "sing" it gives back whatever it hears, frame
for frame, so that whoever sings against it can measure the way through it. Then it waits for the first click of a count: sound after
a quarter of a second of silence with most of its power at 1500 Hz. ``MUSIC_AT_S`` is where in the recording the music begins,
``COUNT_S`` how long the count lasts. It says "click" and when that was (``time.monotonic_ns``). It shares nothing with
the project but the pitch of a click.
"""

from __future__ import annotations

import sys
import threading
import time

import numpy as np
import sounddevice
import soundfile

CLICK_HZ = 1_500.0
SILENCE = 1e-5
QUIET_S = 0.25
LOOK_S = 0.02


class Singer:
    def __init__(self, recording: np.ndarray, rate_hz: int, music_at: int, count: int) -> None:
        self.recording, self.rate_hz, self.music_at, self.count = recording, rate_hz, music_at, count
        self.manner = "echo"
        self.frame = 0
        self.quiet = 0
        self.onset: int | None = None
        self.onset_ns = 0
        self.begun = np.zeros(0)
        self.heard_click = threading.Event()
        self.over = threading.Event()

    def __call__(self, heard: np.ndarray, out: np.ndarray, frames: int, _times: object, _flags: object) -> None:
        ear = heard[:, 0]
        out[:] = 0
        if self.manner == "echo":
            out[:, 0] = ear
        elif self.manner == "listen":
            self._listen(ear)
        if self.manner == "sing" and self.onset is not None:
            at = self.frame - (self.onset + self.count - self.music_at)
            part = self.recording[max(at, 0) : max(at + frames, 0)]
            out[frames - len(part) if at < 0 else 0 :, 0][: len(part)] = part
            if at > len(self.recording):
                self.over.set()
        self.frame += frames

    def _listen(self, ear: np.ndarray) -> None:
        """Find the first click; its onset is exact, since what is before it is silence."""
        if self.onset is None:
            loud = np.flatnonzero(np.abs(ear) > SILENCE)
            if not len(loud):
                self.quiet += len(ear)
                return
            if self.quiet + loud[0] >= QUIET_S * self.rate_hz:
                self.onset = self.frame + int(loud[0])
                self.onset_ns = time.monotonic_ns() - (len(ear) - int(loud[0])) * 1_000_000_000 // self.rate_hz
                self.begun = ear[loud[0] :].copy()
            self.quiet = 0
            return
        self.begun = np.concatenate((self.begun, ear))
        if len(self.begun) < LOOK_S * self.rate_hz:
            return
        power = np.abs(np.fft.rfft(self.begun)) ** 2
        hertz = np.fft.rfftfreq(len(self.begun), 1 / self.rate_hz)
        near = power[np.abs(hertz - CLICK_HZ) < 150].sum()
        if near > 0.5 * power.sum():
            self.manner = "sing"
            self.heard_click.set()
        else:
            self.onset, self.quiet = None, 0


def main() -> None:
    recording, rate_hz = soundfile.read(sys.argv[1], dtype="float32")
    devices = tuple(sys.argv[4:6]) or None
    singer = Singer(recording, rate_hz, round(float(sys.argv[2]) * rate_hz), round(float(sys.argv[3]) * rate_hz))
    with sounddevice.Stream(samplerate=rate_hz, channels=1, device=devices, latency="low", callback=singer):
        print("ready", flush=True)
        for line in sys.stdin:
            if line.strip() == "sing":
                singer.manner = "listen"
                break
        if not singer.heard_click.wait(60):
            print("no click", flush=True)
            return
        print("click", singer.onset_ns, flush=True)
        singer.over.wait(120)
        print("done", flush=True)


if __name__ == "__main__":
    main()
