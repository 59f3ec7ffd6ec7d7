"""Pitch frames written by hand, for tests of the judge: no sound, no tracker."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from audio.heard import Heard, PitchFrame
from trainer.practice.settings import Settings
from trainer.practice.take import Take
from trainer.score.model import Line, Note, Score
from trainer.score.pitch import Pitch
from trainer.score.time import Meter
from trainer.takes.judging import judge

HOP_FRAMES = 120
RATE_HZ = 24_000


@dataclass(frozen=True)
class Sung:
    """A stretch of steady singing, seconds and MIDI numbers; vibrato in cents either way at 5.5 Hz."""

    start_s: float
    end_s: float
    midi: float
    vibrato_cents: float = 0.0
    level_db10: int = -250
    confidence: int = 980
    entry_cents: float = 0.0


def frames(sung: Iterable[Sung], end_s: float, *, line: int = 0, floor_db10: int = -700) -> Iterator[PitchFrame]:
    """Frames a hop apart from 0 to *end_s*."""
    stretches = list(sung)
    for k in range(int(end_s * RATE_HZ / HOP_FRAMES)):
        at_s = k * HOP_FRAMES / RATE_HZ
        here = next((s for s in stretches if s.start_s <= at_s < s.end_s), None)
        if here is None:
            yield PitchFrame(line, k * HOP_FRAMES, 500_000, 50, False, 20, floor_db10)
            continue
        cents = here.vibrato_cents * math.sin(2 * math.pi * 5.5 * (at_s - here.start_s))
        cents += here.entry_cents * max(0.0, 1 - (at_s - here.start_s) / 0.15)
        pitch = round((here.midi * 100 + cents) * 100)
        yield PitchFrame(line, k * HOP_FRAMES, pitch, 2, True, here.confidence, here.level_db10, -600)


def quartet(*lines: str, meter: str = "4/4", quarters: int = 4) -> Score:
    """A score of equal notes: each line a row of pitch names; "-" rests, "~" ties to the note before."""
    names = {1: ("soprano",), 2: ("soprano", "bass"), 4: ("soprano", "alto", "tenor", "bass")}[len(lines)]
    made = []
    for name, text in zip(names, lines, strict=True):
        notes: list[Note] = []
        for k, word in enumerate(text.split()):
            onset = Fraction(k * quarters)
            if word == "~":
                last = notes[-1]
                notes[-1] = Note(last.onset_quarters, last.length_quarters + quarters, last.pitch)
            elif word != "-":
                notes.append(Note(onset, Fraction(quarters), Pitch.parse(word)))
        made.append(Line(name, tuple(notes)))
    return Score("Made for a test", tuple(made), ((Fraction(0), Meter.parse(meter)),))


def as_written(score: Score, voice: int, *, qpm: int = 60, shift_s: float = 0.0) -> list[Sung]:
    """The line sung as it is written, each note released 20 ms early."""
    return [
        Sung(
            float(n.onset_quarters) * 60 / qpm + shift_s,
            float(n.end_quarters) * 60 / qpm - 0.02 + shift_s,
            float(n.pitch.midi),
        )
        for n in score.lines[voice].notes
    ]


def judged(score: Score, voice: int, heard: Iterable[Heard], **settings: object) -> Take:
    """The take of one sung line."""
    return judge(score, [voice], heard, settings=Settings(**settings)).takes[0]  # type: ignore[arg-type]
