"""A pitch line for programs and for people, free of any score."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from audio.heard import Gap, Heard, PitchFrame
from audio.units import RATE_HZ, SEMITONE_C100, c100_to_hz, whole_cents
from trainer.score.pitch import spelled_midi

SCHEMA = "heldline.trace/1"
SHORTEST_S = 0.08  # a stretch shorter than this is a turn of the voice, not a note


def parted(heard: Iterable[Heard]) -> tuple[list[PitchFrame], list[Gap]]:
    """Frames and gaps, each in time order."""
    frames: list[PitchFrame] = []
    gaps: list[Gap] = []
    for record in heard:
        if isinstance(record, PitchFrame):
            frames.append(record)
        elif isinstance(record, Gap):
            gaps.append(record)
    return frames, gaps


def row(frame: PitchFrame) -> dict[str, Any]:
    """One estimate in seconds, hertz and decibels; the best guess of the pitch even where nothing is voiced."""
    return {
        "time_s": frame.centre_frame / RATE_HZ,
        "f0_hz": round(c100_to_hz(frame.f0_c100), 3),
        "voiced": int(frame.voiced),
        "confidence": frame.confidence / 1000,
        "level_dbfs": frame.level_db10 / 10,
    }


def to_json(frames: Sequence[PitchFrame], gaps: Sequence[Gap]) -> dict[str, Any]:
    """The whole line as one object."""
    return {
        "schema": SCHEMA,
        "frames": [row(frame) for frame in frames],
        "gaps": [{"start_s": g.from_frame / RATE_HZ, "end_s": g.to_frame / RATE_HZ, "why": g.why} for g in gaps],
    }


def as_lines(frames: Sequence[PitchFrame]) -> str:
    """One line a stretch of one note: from, to, name, cents off the equal grid at A4 = 440."""
    lines = []
    for stretch in _stretches(frames):
        middle = sorted(frame.f0_c100 for frame in stretch)[len(stretch) // 2]
        midi = round(middle / SEMITONE_C100)
        cents = whole_cents(middle - midi * SEMITONE_C100)
        start, end = stretch[0].centre_frame / RATE_HZ, stretch[-1].centre_frame / RATE_HZ
        tuning = "on the grid" if cents == 0 else f"{abs(cents)} cents {'sharp' if cents > 0 else 'flat'}"
        lines.append(f"{start:8.2f} s to {end:7.2f} s  {spelled_midi(midi)!s:<4}  {tuning}")
    return "\n".join(lines) or "nothing heard"


def _stretches(frames: Sequence[PitchFrame]) -> list[list[PitchFrame]]:
    """Runs of voiced frames nearest to one semitone, the short ones left out."""
    runs: list[list[PitchFrame]] = []
    before: int | None = None
    for frame in frames:
        now = round(frame.f0_c100 / SEMITONE_C100) if frame.voiced else None
        if now is not None:
            if now == before:
                runs[-1].append(frame)
            else:
                runs.append([frame])
        before = now
    return [run for run in runs if run[-1].centre_frame - run[0].centre_frame >= SHORTEST_S * RATE_HZ]
