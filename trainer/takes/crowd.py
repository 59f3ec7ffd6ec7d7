"""A recording of a whole section at one microphone, with nothing else sounding: its long notes measured one by one.

Where the section divides, notes that both lines have are one crowd's, and the others two halves'.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from os import PathLike

import numpy as np

from audio.block import Samples
from audio.crowd import crowd_of, doubling_db, lowest_octave
from audio.divided import halves_of
from audio.entries import BEFORE_SECONDS, STEADY_TO_SECONDS, apart_seconds, entry_curve
from audio.units import RATE_HZ, SEMITONE_C100, c100_to_hz
from trainer.judge.crowd import LONG_SECONDS, CrowdNote, CrowdTake, Entries, crowd_take, entries_of
from trainer.judge.divided import (
    HEARD,
    MISSING,
    THIRD_SEMITONES,
    UNSURE,
    DividedNote,
    DividedTake,
    HalfNote,
    divided_take,
)
from trainer.practice.plan import Plan, Target, make_plan
from trainer.practice.reference import Step
from trainer.practice.settings import Settings
from trainer.score.model import Score
from trainer.takes.recording import sound_in

TRIM_SECONDS = Fraction(1, 4)
"""At both ends of a note, where people come and go (our own; one singer's pitch moves for 120 ms, Dai and Dixon 2019)."""

REST_SECONDS, ENTERED_SECONDS = Fraction(3, 5), Fraction(4, 5)
"""An entry is looked at after so long a silence, on so long a note: as short as the simulated ones."""


def crowd_in(score: Score, line_index: int, path: str | PathLike[str], *, settings: Settings) -> CrowdTake:
    """What the long notes of the line say of everybody who sang it.

    Raises
    ------
    SoundFileError
        When the recording cannot be read.
    """
    plan = make_plan(score, (line_index,), settings)
    wanted = []
    for target in plan.lines[0].targets:
        if target.pitch is not None:
            # the reference moves within a note only under pure tuning; its longest stretch is taken
            step = max(target.steps, key=lambda one: one.to_quarters - one.from_quarters)
            span = _long_span(plan, settings, step.from_quarters, step.to_quarters)
            if span is not None:
                wanted.append((target, step, span))
    stretches = _stretches(path, [span for _, _, span in wanted])
    notes = [
        note
        for (target, step, span), samples in zip(wanted, stretches, strict=False)
        if (note := _note(target, step, samples, span)) is not None
    ]
    return crowd_take(notes, len(wanted), _entries(plan, path, settings))


def divided_in(
    score: Score, upper_index: int, lower_index: int, path: str | PathLike[str], *, settings: Settings
) -> tuple[CrowdTake, DividedTake]:
    """What the long notes that both lines share say of everybody, and the others of each line.

    Raises
    ------
    SoundFileError
        When the recording cannot be read.
    """
    plan = make_plan(score, (upper_index, lower_index), settings)
    wanted = [
        (upper, lower, span)
        for upper, lower, start, end in _held_together(plan)
        if (span := _long_span(plan, settings, start, end)) is not None
    ]
    together: list[CrowdNote | None] = []
    divided = []
    stretches = _stretches(path, [span for _, _, span in wanted])
    for (upper, lower, span), samples in zip(wanted, stretches, strict=False):
        if upper[1].pitch_c100 == lower[1].pitch_c100:
            together.append(_note(*upper, samples, span))
        else:
            divided.append(_divided_note(upper, lower, samples))
    crowd = crowd_take([note for note in together if note is not None], len(together))
    upper_name, lower_name = (score.lines[index].name.lower() or str(index + 1) for index in (upper_index, lower_index))
    return crowd, divided_take(divided, upper_name, lower_name)


def _entries(plan: Plan, path: str | PathLike[str], settings: Settings) -> Entries:
    """How people come in on the notes after rests, all of them together."""
    zero_s = settings.starts_at_s - plan.tempo.seconds(plan.bars.first_full_quarters)
    before_s, silent_from_s = Fraction(BEFORE_SECONDS), None
    spans, wanted_hz = [], []
    for target in plan.lines[0].targets:
        if target.pitch is None:
            continue
        start_s, end_s = (zero_s + plan.tempo.seconds(at) for at in (target.onset_quarters, target.end_quarters))
        rested = silent_from_s is None or start_s - silent_from_s >= REST_SECONDS
        if rested and start_s >= before_s and end_s - start_s >= ENTERED_SECONDS:
            spans.append((start_s - before_s, min(end_s, start_s + Fraction(STEADY_TO_SECONDS))))
            wanted_hz.append(c100_to_hz(target.steps[0].pitch_c100))
        silent_from_s = end_s
    return entries_of(
        [
            apart_seconds(curve)
            for samples, f0_hz in zip(_stretches(path, spans), wanted_hz, strict=False)
            if (curve := entry_curve(samples, RATE_HZ, f0_hz)) is not None
        ]
    )


Held = tuple[Target, Step]


def _held_together(plan: Plan) -> list[tuple[Held, Held, Fraction, Fraction]]:
    """Every stretch, from and to in quarters, in which both lines of *plan* hold one note each."""
    upper, lower = ([(target, step) for target in line.targets for step in target.steps] for line in plan.lines)
    return [
        (above, below, start, end)
        for above in upper
        for below in lower
        if (start := max(above[1].from_quarters, below[1].from_quarters))
        < (end := min(above[1].to_quarters, below[1].to_quarters))
    ]


def _long_span(plan: Plan, settings: Settings, start: Fraction, end: Fraction) -> tuple[Fraction, Fraction] | None:
    """Seconds of the steady middle from quarter *start* to *end*; None where it is too short."""
    zero_s = settings.starts_at_s - plan.tempo.seconds(plan.bars.first_full_quarters)
    start_s, end_s = (zero_s + plan.tempo.seconds(at) for at in (start, end))
    return (start_s + TRIM_SECONDS, end_s - TRIM_SECONDS) if end_s - start_s >= LONG_SECONDS else None


def _divided_note(upper: Held, lower: Held, samples: Samples) -> DividedNote:
    place = max(upper[0], lower[0], key=lambda target: target.onset_quarters).place
    signs = [HalfNote(str(target.pitch), UNSURE) for target, _ in (upper, lower)]
    hz = [c100_to_hz(step.pitch_c100) for _, step in (upper, lower)]
    if len(samples) and _semitones(upper[1], lower[1]) >= THIRD_SEMITONES:
        for k, half in enumerate(halves_of(samples, RATE_HZ, hz[0], hz[1])):
            if half.centre_cents is not None:
                signs[k] = HalfNote(signs[k].expected, HEARD, round(half.centre_cents))
            elif half.heard is False:
                signs[k] = HalfNote(signs[k].expected, MISSING)
    return DividedNote(place.bar, place.beat, place.printed_bar, signs[0], signs[1])


def _semitones(one: Step, other: Step) -> int:
    """Between two notes, whatever the tuning."""
    return round(abs(one.pitch_c100 - other.pitch_c100) / SEMITONE_C100)


def _note(target: Target, step: Step, samples: Samples, span: tuple[Fraction, Fraction]) -> CrowdNote | None:
    f0_hz = c100_to_hz(step.pitch_c100)
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
        float(sum(span) / 2),
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
    blocks = sound_in(path)
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
