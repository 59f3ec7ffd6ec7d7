"""A stage for whole live takes: a real server, a singer in a process of its own, heldline in another."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import servers
import simulated_singer
import slips
import soundfile

from trainer.library import resolve

RATE_HZ = 48_000
MUSIC_AT_S = 0.5
QPM = 200
SCORE = "Ferry Bell at Low Water"
TENOR = 2
MEASURE = """
import sys
from audio.devices import SoundWish, open_sound
from audio.devices.roundtrip import measure
from trainer.log.devices import DeviceMemory, MeasuredPair, Pair
from trainer.places import places
with open_sound(SoundWish()) as link:
    print("open", flush=True)
    sys.stdin.readline()
    trip = measure(link)
    pair = Pair(link.input_name, link.output_name, link.rate_hz, link.block_frames)
    DeviceMemory(places().devices).remember(MeasuredPair(pair, trip.round_trip_ms, trip.spread_ms, None, "2025-01-01"))
    print(trip.round_trip_ms, trip.spread_ms, flush=True)
"""

HEARD_LATER_SECONDS = 0.1
"""The word is written when a frame is handed to the server; whoever sings to the sound hears it as much later as the output buffers
(``BUFFER_SECONDS`` of audio/devices/_streams.py)."""


@dataclass
class Stage:
    """A server, a home, and the processes that are on it."""

    server: servers.Server
    kind: str
    home: Path

    def joined(self, singer: str, other: str) -> None:
        """What *other* sounds is heard by the singer, and what the singer sings is in *other*'s microphone."""
        if self.kind != "jack":
            return
        until = time.monotonic() + 40
        while not servers.ports(self.server, f"{other}:in_0") or not servers.ports(self.server, f"{other}:out_0"):
            assert time.monotonic() < until, servers.ports(self.server)
            time.sleep(0.02)
        servers.join(self.server, f"{other}:out_0", f"{singer}:in_0")
        servers.join(self.server, f"{singer}:out_0", f"{other}:in_0")

    def begin(self, *words: object, stdin: int | None = None) -> subprocess.Popen[str]:
        env = {**self.server.env, "HELDLINE_HOME": str(self.home), "PYTHONFAULTHANDLER": "1"}
        return subprocess.Popen(
            [sys.executable, *(str(word) for word in words)],
            env=env,
            stdin=stdin if stdin is not None else subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )

    @contextmanager
    def singer(self, recording: Path, count_s: float) -> Iterator[subprocess.Popen[str]]:
        devices = ["system"] * 2 if self.kind == "jack" else ["singer_ear", "singer_out"]
        script = Path(__file__).parents[1] / "support" / "listening_singer.py"
        process = self.begin(script, recording, MUSIC_AT_S, count_s, *devices, stdin=subprocess.PIPE)
        try:
            assert process.stdout is not None
            line = process.stdout.readline().strip()
            assert line == "ready", line + (process.stderr.read() if process.stderr else "")
            yield process
        finally:
            process.kill()
            process.communicate()

    def ended(self, process: subprocess.Popen[str], seconds: float = 10) -> tuple[str, str]:
        """What a process that was told to go still said; fails with where it stood when it stays."""
        try:
            return process.communicate(timeout=seconds)
        except subprocess.TimeoutExpired:
            process.send_signal(signal.SIGABRT)
            raise AssertionError(f"still there after {seconds} s: {process.communicate()}") from None

    def measured(self) -> tuple[float, float]:
        """The way out, through the singer, and back, kept as this pair's round trip; ms and spread."""
        process = self.begin("-c", MEASURE, stdin=subprocess.PIPE)
        assert process.stdout is not None
        assert process.stdin is not None
        opened = process.stdout.readline().strip()
        assert opened == "open", process.communicate()[1]
        self.joined("PortAudio", "PortAudio-01")
        process.stdin.write("go\n")
        process.stdin.flush()
        told, err = process.communicate(timeout=30)
        assert told, err
        trip, spread = told.split()
        return float(trip), float(spread)

    def sung_at_the_word(self, recording: Path, *words: object, seconds: float = 90) -> tuple[int, list[str]]:
        """heldline in lines; the singer begins when it says so. Its exit status and lines."""
        lines, until, singers = [], time.monotonic() + seconds, []
        with self.heldline(*words) as process:
            assert process.stdout is not None
            for line in process.stdout:
                lines.append(line.rstrip())
                assert time.monotonic() < until, lines
                if line.startswith("Sing") and not any(before.startswith("waits") for before in lines):
                    time.sleep(HEARD_LATER_SECONDS)
                    singers.append(self.server.begin("paplay", "--device=singer", "--latency-msec=20", recording))
        for singer in singers:
            servers.end(singer)
        return process.returncode, lines

    def heldline(self, *words: object) -> subprocess.Popen[str]:
        return self.begin("-m", "trainer", *words)


def line_sung(qpm: float = QPM) -> slips.Performance:
    """The tenor sung exactly, seconds from where the music begins."""
    second = 60 / qpm
    return tuple(
        slips.SungNote(k, float(n.onset_quarters) * second, float(n.end_quarters) * second, float(n.pitch.midi))
        for k, n in enumerate(resolve(SCORE).lines[TENOR].notes)
    )


FIRST_QPM = 96
"""Of the four bars that ``heldline sing`` begins with."""


def first_minute_of_a_singer(folder: Path) -> tuple[Path, Path]:
    """A hum an octave below what is sounded, and four bars of the tenor down there from their first vowel on."""
    hum = (slips.SungNote(0, 0.1, 1.6, 45.0),)
    line = tuple(replace(note, midi=note.midi - 12) for note in line_sung(FIRST_QPM)[:4])
    paths = []
    for name, sung, seconds in (("hum", hum, 2.0), ("sung", line, 11.0)):
        sound = simulated_singer.sing(sung, seed=3, seconds=seconds, throat=simulated_singer.Throat("men")).samples
        paths.append(folder / f"{name}.wav")
        soundfile.write(paths[-1], sound.astype(np.float32), RATE_HZ, subtype="FLOAT")
    return paths[0], paths[1]


def as_soprano(sung: slips.Performance, *indexes: int) -> slips.Performance:
    """These notes sung as the soprano has them, in the singer's own octave."""
    for index in indexes:
        own = next(n.midi for n in sung if n.index == index)
        theirs = resolve(SCORE).lines[0].notes[index].pitch.midi
        sung = slips.at_pitch(sung, index, min((theirs + 12 * k for k in range(-3, 3)), key=lambda m: abs(m - own)))
    return sung


def recorded(folder: Path, sung: slips.Performance, *, music_at_s: float = MUSIC_AT_S) -> Path:
    """A recording in which the music begins after *music_at_s*, the consonant before it cut away where that is 0."""
    moved = tuple(
        slips.SungNote(n.index, n.start_s + MUSIC_AT_S, n.end_s + MUSIC_AT_S, n.midi, n.scoop_cents) for n in sung
    )
    seconds = max(n.end_s for n in moved) + 1.0
    sound = simulated_singer.sing(moved, seed=13, seconds=seconds, throat=simulated_singer.Throat("men")).samples
    path = folder / "sung.wav"
    sound = sound[round((MUSIC_AT_S - music_at_s) * RATE_HZ) :]
    soundfile.write(path, sound.astype(np.float32), RATE_HZ, subtype="FLOAT")
    return path


def table_of(process: subprocess.Popen[str], seconds: float = 90) -> tuple[int, dict, str]:
    """How a command with --json ended."""
    out, err = process.communicate(timeout=seconds)
    return process.returncode, json.loads(out) if out.strip() else {}, err


def signs_of(table: dict) -> list[str]:
    return [note["sign"] for note in table["notes"]]
