"""A whole section in front of heldline on a real server: a leader who types keys and Enter, and singers who sing at the word."""

from __future__ import annotations

import queue
import subprocess
import threading
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import servers
import simulated_singer
import slips
import soundfile
from live_stage import HEARD_LATER_SECONDS, MUSIC_AT_S, RATE_HZ, Stage

from trainer.score.change import cut
from trainer.score.model import Score


def excerpt_sung(score: Score, line_index: int, bars: tuple[int, int], qpm: float) -> slips.Performance:
    """A line's bars sung exactly, seconds from where their music begins."""
    second = 60 / qpm
    return tuple(
        slips.SungNote(k, float(n.onset_quarters) * second, float(n.end_quarters) * second, float(n.pitch.midi))
        for k, n in enumerate(cut(score, *bars).lines[line_index].notes)
    )


def following(sung: slips.Performance, other: slips.Performance, *indexes: int) -> slips.Performance:
    """These notes sung as another line has them at their onsets, in the singer's own octave."""
    for index in indexes:
        own = next(note for note in sung if note.index == index)
        theirs = max((note for note in other if note.start_s <= own.start_s + 1e-6), key=lambda note: note.start_s)
        sung = slips.at_pitch(
            sung, index, min((theirs.midi + 12 * k for k in range(-3, 4)), key=lambda midi: abs(midi - own.midi))
        )
    return sung


def recorded(path: Path, sung: slips.Performance, *, seed: int, sex: str = "women") -> Path:
    """A recording that begins with the music itself."""
    moved = tuple(
        slips.SungNote(n.index, n.start_s + MUSIC_AT_S, n.end_s + MUSIC_AT_S, n.midi, n.scoop_cents) for n in sung
    )
    seconds = max(n.end_s for n in moved) + 0.5
    sound = simulated_singer.sing(moved, seed=seed, seconds=seconds, throat=simulated_singer.Throat(sex)).samples
    soundfile.write(path, sound[round(MUSIC_AT_S * RATE_HZ) :].astype(np.float32), RATE_HZ, subtype="FLOAT")
    return path


@dataclass
class Leader:
    """heldline in lines, its keys typed into a pipe.

    Parameters
    ----------
    stage : Stage
    process : Popen
    """

    stage: Stage
    process: subprocess.Popen[str]
    lines: list[str] = field(default_factory=list)
    singers: list[subprocess.Popen[str]] = field(default_factory=list)
    said: queue.Queue[str | None] = field(default_factory=queue.Queue)

    def __post_init__(self) -> None:
        threading.Thread(target=self._read, daemon=True).start()

    def _read(self) -> None:
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.said.put(line.rstrip())
        self.said.put(None)

    def type(self, *words: str) -> None:
        """Each word and Enter; "" is Enter alone."""
        assert self.process.stdin is not None
        self.process.stdin.write("".join(f"{word}\n" for word in words))
        self.process.stdin.flush()

    def until(self, begins: str, seconds: float = 60) -> str:
        """Read lines until one begins so; that line."""
        end = time.monotonic() + seconds
        while True:
            try:
                line = self.said.get(timeout=max(0.01, end - time.monotonic()))
            except queue.Empty:
                raise AssertionError(f"no {begins!r} in {seconds} s: {self.lines[-20:]}") from None
            if line is None:
                raise AssertionError(f"it ended: {self.lines[-20:]}")
            self.lines.append(line)
            if line.startswith(begins):
                return line

    def sings(self, *recordings: Path) -> None:
        """Wait for the word and sing, several recordings at once."""
        self.until("Sing")
        time.sleep(HEARD_LATER_SECONDS)
        for recording in recordings:
            self.singers.append(self.stage.server.begin("paplay", "--device=singer", "--latency-msec=20", recording))

    def hush(self) -> None:
        """Whoever still sings stops: on a crowded machine they would sing on into the next one's turn."""
        for singer in self.singers:
            servers.end(singer)
        self.singers.clear()

    def left(self) -> tuple[int, list[str]]:
        """The rest of its lines and its exit status."""
        while (line := self.said.get(timeout=60)) is not None:
            self.lines.append(line)
        self.hush()
        return self.process.wait(20), self.lines

    def close(self) -> None:
        """Let go of its pipes."""
        for pipe in (self.process.stdin, self.process.stdout, self.process.stderr):
            if pipe is not None:
                pipe.close()


def led(stage: Stage, *words: object) -> Leader:
    """heldline sectional in lines, waiting for its leader."""
    process = stage.begin("-m", "trainer", "sectional", *words, "--plain", stdin=subprocess.PIPE)
    return Leader(stage, process)


def section_of_singers(
    folder: Path,
    score: Score,
    line_index: int,
    bars: tuple[int, int],
    qpm: float,
    *,
    count: int,
    followers: Sequence[int],
    pulled: Sequence[int],
    seed: int = 40,
) -> list[Path]:
    """So many singers of a line's bars: all right but for the *followers*, who have the top line's notes at the notes *pulled*."""
    right, top = excerpt_sung(score, line_index, bars, qpm), excerpt_sung(score, 0, bars, qpm)
    return [
        recorded(
            folder / f"desk{k}.wav",
            following(right, top, *pulled) if k in followers else right,
            seed=seed % 100_000 + k,
        )
        for k in range(count)
    ]


def recorded_line(folder: Path, score: Score, line_index: int, bars: tuple[int, int], qpm: float) -> Path:
    """One right singer of a line's bars."""
    return recorded(folder / "right.wav", excerpt_sung(score, line_index, bars, qpm), seed=7)
