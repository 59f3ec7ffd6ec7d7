"""A program that plays a recording into one port of JACK: ``jack_singer.py RECORDING PORT``; says "singing" when it begins."""

from __future__ import annotations

import subprocess
import sys
import threading
import time

import numpy as np
import sounddevice
import soundfile


def _ports() -> set[str]:
    until = time.monotonic() + 15
    while True:  # a busy server may leave a question unanswered
        listed = subprocess.run(["jack_lsp"], capture_output=True, text=True, check=False)
        if listed.returncode == 0 or time.monotonic() > until:
            break
    return {name for name in listed.stdout.split("\n") if name.startswith("PortAudio") and ":out_" in name}


def main(recording: str, into: str) -> None:
    """Play it once."""
    sound, rate_hz = soundfile.read(recording, dtype="float32")
    at, begun, done = 0, threading.Event(), threading.Event()

    def callback(out: np.ndarray, frames: int, _times: object, _status: object) -> None:
        nonlocal at
        out[:] = 0
        if begun.is_set():
            piece = sound[at : at + frames]
            out[: len(piece), 0] = piece
            at += frames
            if at >= len(sound):
                done.set()

    before = _ports()
    device = next(
        index
        for index, one in enumerate(sounddevice.query_devices())
        if one["name"] == "system" and one["max_output_channels"] > 0
    )
    with sounddevice.OutputStream(
        device=device, samplerate=rate_hz, channels=1, dtype="float32", latency="low", callback=callback
    ):
        until = time.monotonic() + 15
        while not (new := _ports() - before) and time.monotonic() < until:
            pass
        (mine,) = new
        subprocess.run(["jack_disconnect", mine, "system:playback_1"], check=False, capture_output=True)
        subprocess.run(["jack_disconnect", "system:capture_1", into], check=False, capture_output=True)
        subprocess.run(["jack_connect", mine, into], check=True)
        print("singing", flush=True)
        begun.set()
        done.wait(len(sound) / rate_hz + 5)


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2])
