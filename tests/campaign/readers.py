"""Files with damage, given to every command that reads one: never a traceback, a crash, a hang or a heap of memory.

Each attempt mutates one small valid file (made here, never one from outside) by random cuts, copies, flips and numbers, or makes pure
noise, and runs in a forked child with a limit of memory and of time. POSIX only.
"""

from __future__ import annotations

import io
import json
import os
import resource
import signal
import tempfile
import zipfile
from collections import Counter
from pathlib import Path
from typing import Any

import mido
import numpy as np
import soundfile
from heldline_command import heldline
from written_music import LOCK_GATE, write_musicxml

ALLOWED = {0, 1, 2, 4, 5}
LONGEST_S = 20
MOST_BYTES = 3 * 1024**3
KERN = "**kern\t**kern\n*M4/4\t*M4/4\n=1\t=1\n4c\t4e\n4d\t4f\n2e\t[2g\n=2\t=2\n1c\t1g]\n==\t==\n*-\t*-\n"
ABC = "X:1\nT:Slate Steps\nM:4/4\nL:1/4\nK:Ddor\nV:1\nd e f2|g4|\nV:2\nD4|G,4|\n"


def seeds(folder: Path) -> dict[str, bytes]:
    """Valid files by name."""
    xml = write_musicxml(LOCK_GATE, folder / "a.musicxml").read_bytes()
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as opened:
        opened.writestr(
            "META-INF/container.xml", '<container><rootfiles><rootfile full-path="a.xml"/></rootfiles></container>'
        )
        opened.writestr("a.xml", xml)
    midi = io.BytesIO()
    track = mido.MidiTrack(
        mido.Message(kind, note=60 + k, time=240) for k in range(8) for kind in ("note_on", "note_off")
    )
    mido.MidiFile(tracks=[track, track]).save(file=midi)
    found = {"a.musicxml": xml, "a.xml": xml, "a.mxl": packed.getvalue(), "a.mid": midi.getvalue(),
             "a.krn": KERN.encode(), "a.abc": ABC.encode()}  # fmt: skip
    for drill in sorted((Path(__file__).parents[2] / "drills").rglob("*.drill"))[:1]:
        found["a.drill"] = drill.read_bytes()
    tone = 0.2 * np.sin(2 * np.pi * 220 * np.arange(16_000) / 16_000)
    for ending in ("wav", "flac", "ogg", "mp3", "aiff"):
        sound = io.BytesIO()
        soundfile.write(
            sound, tone, 16_000, format={"aiff": "AIFF", "ogg": "OGG", "mp3": "MP3"}.get(ending, ending.upper())
        )
        found[f"a.{ending}"] = sound.getvalue()
    found["a.m4a"] = b"\0\0\0\x20ftypM4A \0\0\0\0M4A mp42isom" + bytes(400)
    return found


def damaged(content: bytes, rng: np.random.Generator) -> bytes:
    """*content* after one to eight accidents."""
    data = bytearray(content)
    for _ in range(int(rng.integers(1, 9))):
        at = int(rng.integers(0, len(data) + 1))
        size = int(rng.integers(1, 1 + max(len(data) // 4, 8)))
        kind = rng.integers(8)
        if kind == 0 and data:
            data[at % len(data)] ^= 1 << int(rng.integers(8))
        elif kind == 1:
            del data[at : at + size]
        elif kind == 2:
            data[at:at] = data[at : at + size]
        elif kind == 3:
            data[at:at] = rng.bytes(min(size, 64))
        elif kind == 4:
            del data[at:]
        elif kind == 5:
            data[at : at + 4] = rng.choice([b"\xff\xff\xff\xff", b"\x7f\xff\xff\xff", b"\0\0\0\0", b"\x80\0\0\0"])
        elif kind == 6:
            data[at:at] = rng.choice(
                [b"99999999999", b"-1", b"0", b"1e308", b"nan", b"\xc3\x28", b"<" * 50, b"[" * 500]
            )
        else:
            other = int(rng.integers(0, len(data) + 1))
            piece = bytes(data[other : other + size])
            data[at : at + len(piece)] = piece
    return bytes(data[: 4 * 1024 * 1024])


SOUNDS = (".wav", ".flac", ".ogg", ".mp3", ".aiff", ".m4a")


class Campaign:
    """One damaged file an attempt."""

    def __init__(self, scratch: Path) -> None:
        self.scratch, self.count = scratch, 0
        self.files = seeds(scratch)
        self.statuses: Counter[str] = Counter()
        os.environ["HELDLINE_HOME"] = str(scratch / "home")
        self.good_score = write_musicxml(LOCK_GATE, scratch / "good.musicxml")
        self.good_sound = scratch / "good.wav"
        soundfile.write(self.good_sound, np.zeros(8_000), 8_000)

    def attempt(self, seed: int) -> dict[str, Any]:
        """Fails when a command ends in any way that it does not promise."""
        rng = np.random.default_rng(seed)
        name = str(rng.choice(sorted(self.files)))
        content = rng.bytes(int(rng.integers(0, 5000))) if rng.random() < 0.1 else damaged(self.files[name], rng)
        place = self.scratch / f"case{Path(name).suffix}"
        place.write_bytes(content)
        words = self._words(place, rng)
        told = {"file": name, "command": words[0], **self._in_child(words)}
        self.statuses[f"{Path(name).suffix} {words[0]} {told.get('status')}"] += 1
        if "failure" in told:
            kept = Path(tempfile.gettempdir()) / f"heldline-readers-{seed}{place.suffix}"
            kept.write_bytes(content)
            told["failure"] = f"{told['failure']} ({' '.join(map(str, words))}; kept as {kept})"
        return told

    def _words(self, place: Path, rng: np.random.Generator) -> tuple[object, ...]:
        if place.suffix in SOUNDS:
            if rng.random() < 0.5:
                return ("trace", place, "--csv")
            return ("sing", self.good_score, "--voice", "alto", "--input", place, "--json", "--no-log")
        if place.suffix == ".mid" and rng.random() < 0.5:
            return ("key", self.good_score, "--voice", "alto", "--input", place, "--json", "--no-log")
        return ("sing", place, "--voice", "1", "--input", self.good_sound, "--json", "--no-log")

    def _in_child(self, words: tuple[object, ...]) -> dict[str, Any]:
        reading, writing = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(reading)
            _run_and_leave(words, writing)
        os.close(writing)
        with os.fdopen(reading, "rb") as pipe:
            told = pipe.read()
        _, ended = os.waitpid(child, 0)
        if os.WIFSIGNALED(ended):
            number = os.WTERMSIG(ended)
            return {
                "failure": f"still running after {LONGEST_S} s"
                if number == signal.SIGALRM
                else f"died of signal {number}"
            }
        if not told:
            return {"failure": f"left without a word, status {os.WEXITSTATUS(ended)}"}
        table: dict[str, Any] = json.loads(told)
        return table

    def summary(self) -> tuple[list[str], bool]:
        """Statuses by kind of file."""
        return [f"{count:>6}  {name}" for name, count in sorted(self.statuses.items())], True


def _run_and_leave(words: tuple[object, ...], writing: int) -> None:
    """The forked child: run, tell, leave without any of the parent's clean-up."""
    resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))
    signal.signal(signal.SIGALRM, signal.SIG_DFL)
    signal.alarm(LONGEST_S)
    os.dup2(os.open(os.devnull, os.O_WRONLY), 2)  # decoders written in C talk there by themselves
    try:
        done = heldline(*words)
        told: dict[str, Any] = {"status": done.status}
        if done.status not in ALLOWED:
            told["failure"] = f"status {done.status}: {done.err[:300]}"
        elif "fault of heldline" in done.err or "Traceback" in done.err:
            told["failure"] = done.err[:400]
        elif done.status == 4 and not done.err.strip():
            told["failure"] = "refused without a word"
    except BaseException as err:
        told = {"failure": f"{type(err).__name__} came out: {err}"[:400]}
    os.write(writing, json.dumps(told).encode())
    os._exit(0)
