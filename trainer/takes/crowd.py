"""A recording of a whole section at one microphone, with nothing else sounding: its long notes measured one by one."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from os import PathLike

import numpy as np

from audio.block import Samples
from audio.crowd import crowd_of, doubling_db, lowest_octave
from audio.resample import Resampler
from audio.soundfile_io import read_blocks
from audio.units import RATE_HZ, c100_to_hz
from trainer.judge.crowd import LONG_SECONDS, CrowdNote, CrowdTake, crowd_take
from trainer.practice.plan import Target, make_plan
from trainer.practice.settings import Settings
from trainer.score.model import Score

TRIM_SECONDS = Fraction(1, 4)
"""At both ends of a note, where people come and go (our own; one singer's pitch moves for 120 ms, Dai and Dixon 2019)."""


def crowd_in(score: Score, line_index: int, path: str | PathLike[str], *, settings: Settings) -> CrowdTake:
    """What the long notes of the line say of everybody who sang it.

    Raises
    ------
    SoundFileError
        When the recording cannot be read.
    """
    plan = make_plan(score, (line_index,), settings)
    zero_s = settings.starts_at_s - plan.tempo.seconds(plan.bars.first_full_quarters)
    wanted = []
    for target in plan.lines[0].targets:
        if target.pitch is not None:
            # the reference moves within a note only under pure tuning; its longest stretch is taken
            step = max(target.steps, key=lambda one: one.to_quarters - one.from_quarters)
            start, end = (zero_s + plan.tempo.seconds(at) for at in (step.from_quarters, step.to_quarters))
            if end - start >= LONG_SECONDS:
                wanted.append((target, step.pitch_c100, start + TRIM_SECONDS, end - TRIM_SECONDS))
    stretches = _stretches(path, [(start, end) for _, _, start, end in wanted])
    notes = [
        note
        for (target, pitch_c100, start, end), samples in zip(wanted, stretches, strict=False)
        if (note := _note(target, c100_to_hz(pitch_c100), samples, float((start + end) / 2))) is not None
    ]
    return crowd_take(notes, len(wanted))


def _note(target: Target, f0_hz: float, samples: Samples, at_s: float) -> CrowdNote | None:
    octave = lowest_octave(samples, RATE_HZ, f0_hz) if len(samples) else None
    if octave is None:
        return None
    crowd = crowd_of(samples, RATE_HZ, f0_hz * 2.0**octave)
    if crowd is None:
        return None
    return CrowdNote(
        target.place.bar,
        target.place.beat,
        target.place.printed_bar,
        str(target.pitch),
        at_s,
        round(crowd.centre_cents),
        None if crowd.spread_cents is None else round(crowd.spread_cents),
        crowd.vibrato,
        octave,
        doubling_db(samples, RATE_HZ, f0_hz * 2.0**octave),
    )


def _stretches(path: str | PathLike[str], spans: list[tuple[Fraction, Fraction]]) -> Iterator[Samples]:
    """The sound of each span of seconds, in order, held one at a time; shorter where the recording ends before."""
    frames = [(max(0, round(start * RATE_HZ)), max(0, round(end * RATE_HZ))) for start, end in spans]
    held: list[Samples] = []
    held_from = held_to = 0
    blocks = _blocks(path)
    for start, end in frames:
        while held_to < end:
            block = next(blocks, None)
            if block is None:
                break
            held.append(block)
            held_to += len(block)
            while held and held_from + len(held[0]) <= start:
                held_from += len(held.pop(0))
        sound = np.concatenate(held) if held else np.zeros(0, dtype=np.float32)
        yield sound[max(0, start - held_from) : max(0, end - held_from)]


def _blocks(path: str | PathLike[str]) -> Iterator[Samples]:
    resampler = Resampler()
    for block in read_blocks(path):
        yield from (one.samples[:, 0] for one in resampler.feed(block))
    yield from (one.samples[:, 0] for one in resampler.flush())
