"""Some bars of a kept take to be listened to: what was sung, sounded by a neutral voice from its pitch line; the right bars; both at once.

Nobody's own voice is in it, and nothing was recorded for it.
"""

from __future__ import annotations

import os
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from audio.block import Samples
from audio.curve import PitchStep
from audio.heard import Anchor, Heard, KeyNote, PitchFrame
from audio.render import Rendering, Tone, voice_gain_db
from audio.units import RATE_HZ, SEMITONE_C100, c100_to_hz, seconds_to_frames
from audio.whole_file import write_pieces
from trainer.errors import LogError
from trainer.log.attempt import Attempt
from trainer.practice.plan import Plan, make_plan
from trainer.practice.take import Take
from trainer.practice.timemap import TimeMap, fixed_time
from trainer.voices.tones import frame_at, instrument_of, tones

OUT_HZ = 48_000
UP = OUT_HZ // RATE_HZ
BETWEEN_SECONDS = Fraction(3, 5)
AROUND_SECONDS = Fraction(1, 10)
"""A note begun a little early or let go a little late belongs to its bar."""

BRIDGED_FRAMES = RATE_HZ * 6 // 100
SHORTEST_FRAMES = RATE_HZ * 4 // 100
"""A consonant between two stretches of a note is bridged, a flicker of the tracker left out."""

PARTS = ("mine", "right", "both")


def write_bars(
    attempt: Attempt, position: int, take: Take, bars: tuple[int, int], path: str | os.PathLike[str]
) -> list[tuple[str, float]]:
    """Write :func:`bar_pieces` to a file, and say the same. Raises SoundFileError and SettingError too, where it cannot be written."""
    pieces, starts = bar_pieces(attempt, position, take, bars)
    write_pieces(path, pieces, OUT_HZ, channel_count=2)
    return starts


def bar_pieces(
    attempt: Attempt, position: int, take: Take, bars: tuple[int, int]
) -> tuple[Iterator[Samples], list[tuple[str, float]]]:
    """What was sung in *bars*, what is right there, and both at once, one after the other, at ``OUT_HZ``.

    Returns
    -------
    iterator of arrays, shape (n, 2); list of (str, float)
        "mine", "right" and "both" with the second at which each begins.

    Raises
    ------
    LogError
        When nothing was heard in these bars.
    KeyError
        When there are no such bars; its text says which there are.
    """
    plan = make_plan(attempt.score, attempt.lines, attempt.settings, sources=(attempt.source,) * len(attempt.lines))
    begin, end = _quarters(plan, bars)
    time = _time(attempt, plan, take)
    around = seconds_to_frames(AROUND_SECONDS)
    first, last = time.reached(begin) - around, time.reached(end) + around
    voice = instrument_of(attempt.score, attempt.lines[position])
    mine = _sung(attempt.heard, position, first, last, voice)
    if not mine:
        raise LogError("nothing was heard in these bars", f"bars {bars[0]} to {bars[1]}", "choose others")
    right = _right(plan, position, take, time, (begin, end), first, voice)
    found: list[Tone] = []
    starts: list[tuple[str, float]] = []
    at = 0
    length = (last - first) * UP
    for name, parts in zip(PARTS, ((mine,), (right,), (mine, right)), strict=True):
        starts.append((name, at / OUT_HZ))
        for channel, part in enumerate(parts):
            found += [replace(tone, start_frame=tone.start_frame + at, channel=channel) for tone in part]
        at += length + round(BETWEEN_SECONDS * OUT_HZ)
    return Rendering(found, rate_hz=OUT_HZ).pieces(at), starts


def _quarters(plan: Plan, bars: tuple[int, int]) -> tuple[Fraction, Fraction]:
    there = plan.bars.bars
    inside = [bar for bar in there if bars[0] <= bar.number <= bars[1]]
    if not inside or inside[0].number != bars[0] or inside[-1].number != bars[1]:
        raise KeyError(f"bars {there[0].number} to {there[-1].number}")
    return inside[0].onset_quarters, inside[-1].onset_quarters + inside[-1].length_quarters


def _time(attempt: Attempt, plan: Plan, take: Take) -> TimeMap:
    """Where music time lay: in the take's own anchors, in the singer's own tempo, or by the settings."""
    if attempt.anchors:
        time = TimeMap(attempt.anchors)
        for record in attempt.heard:
            if isinstance(record, Anchor):
                time.add(record)
        return time
    if take.tempo_line:
        return TimeMap(
            Anchor(
                seconds_to_frames(Fraction(point.time_s)),
                plan.bars.quarters(point.bar, point.beat),
                Fraction(point.quarters_per_minute),
            )
            for point in take.tempo_line
        )
    return fixed_time(
        plan.tempo, first_full_quarters=plan.bars.first_full_quarters, starts_at_s=attempt.settings.starts_at_s
    )


def _sung(heard: Iterable[Heard], position: int, first: int, last: int, voice: str) -> list[Tone]:
    """What was sung or keyed from frame *first* up to *last*, as tones from frame 0."""
    gain_db = voice_gain_db(2)
    found = []
    frames = []
    for record in heard:
        if isinstance(record, KeyNote) and record.line == position:
            begin, end = max(record.on_frame, first), min(record.off_frame, last)
            if begin < end:
                step = PitchStep(0, c100_to_hz(record.midi * SEMITONE_C100))
                found.append(Tone((begin - first) * UP, (end - begin) * UP, (step,), voice, gain_db=gain_db))
        elif isinstance(record, PitchFrame) and record.line == position and record.voiced:
            frames.append(record)
    at = bisect_left(frames, first, key=lambda frame: frame.centre_frame)
    until = bisect_left(frames, last, key=lambda frame: frame.centre_frame)
    for run in _runs(frames[at:until]):
        begin = run[0].centre_frame
        steps = tuple(PitchStep((f.centre_frame - begin) * UP, c100_to_hz(f.f0_c100)) for f in run)
        length = (run[-1].centre_frame - begin) * UP
        found.append(Tone((begin - first) * UP, length, steps[:-1] or steps, voice, gain_db=gain_db))
    return found


def _runs(frames: Sequence[PitchFrame]) -> Iterator[list[PitchFrame]]:
    run: list[PitchFrame] = []
    for frame in frames:
        if run and frame.centre_frame <= run[-1].centre_frame:
            continue
        if run and frame.centre_frame - run[-1].centre_frame > BRIDGED_FRAMES:
            if run[-1].centre_frame - run[0].centre_frame >= SHORTEST_FRAMES:
                yield run
            run = []
        run.append(frame)
    if run and run[-1].centre_frame - run[0].centre_frame >= SHORTEST_FRAMES:
        yield run


def _right(
    plan: Plan, position: int, take: Take, time: TimeMap, quarters: tuple[Fraction, Fraction], first: int, voice: str
) -> list[Tone]:
    """The written notes of those bars in the singer's own octave, in the time in which they were to be sung."""
    line = plan.lines[position].line_index
    at = frame_at(plan.tempo, rate_hz=OUT_HZ)
    factor = 2.0**take.octave_shift
    begin_frame, end_frame = ((time.reached(place) - first) * UP for place in quarters)
    # a bar is sounded at the tempo in which it passed, so that both lie side by side
    stretch = (end_frame - begin_frame) / max(1, at(quarters[1]) - at(quarters[0]))
    found = []
    for tone in tones(plan.score, plan.references, at, which=(line,)):
        low, high = max(tone.start_frame, at(quarters[0])), min(tone.end_frame, at(quarters[1]))
        if low >= high:
            continue
        inside = [step for step in tone.steps if tone.start_frame + step.at_frame <= low] or [tone.steps[0]]
        steps = {0: inside[-1].f0_hz * factor}
        for step in tone.steps:
            if low < tone.start_frame + step.at_frame < high:
                steps[round((tone.start_frame + step.at_frame - low) * stretch)] = step.f0_hz * factor
        start = begin_frame + round((low - at(quarters[0])) * stretch)
        end = begin_frame + round((high - at(quarters[0])) * stretch)
        found.append(
            Tone(
                start,
                end - start,
                tuple(PitchStep(frame, f0_hz) for frame, f0_hz in steps.items()),
                voice,
                gain_db=voice_gain_db(2),
            )
        )
    return found
