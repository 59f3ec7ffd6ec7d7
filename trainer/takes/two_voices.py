"""Two who sing at once in one singer's recording: where that is heard the sound is nobody's, and is not judged.

One stretch alone may be a mistake, so a recording has two voices only from two stretches on; what lies shortly between them belongs to
them. Where voices sounded beside the singer, a pitch that one of them had at that time, in any octave, is that voice's.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from itertools import pairwise

from audio.block import Samples
from audio.heard import Gap, Heard, PitchFrame
from audio.second_voice import SecondVoice, second_voices
from audio.units import OCTAVE_C100, RATE_HZ, seconds_to_frames
from trainer.practice.plan import Plan, make_plan
from trainer.practice.reference import Step
from trainer.practice.settings import Settings
from trainer.practice.timemap import TimeMap, fixed_time
from trainer.score.model import Score

TWO_VOICES = "two voices"
LEAST_STRETCHES = 2
JOINED_FRAMES = 4 * RATE_HZ
"""Stretches that are no further apart are one: nobody is silent for a note and in again on the next (our own)."""

NEAR_C100 = 6_000
Sounded = tuple[int, int, int]
"""A note of another voice: its frames, and its pitch."""


def two_voices_in(
    score: Score,
    line_index: int,
    pieces: Iterable[Samples],
    heard: Sequence[Heard],
    *,
    settings: Settings,
    time: TimeMap | None = None,
) -> list[Gap]:
    """Where two voices sing in a sound of which *heard* is the pitch line; *pieces* of shape (n,) at ``RATE_HZ``.

    *time* is where music time lay in a live take; None is our click. In free time nobody knows which other voices sounded when, so without
    ``settings.alone`` nothing is told.
    """
    if settings.time == "free" and not settings.alone:
        return []
    frames = [record for record in heard if isinstance(record, PitchFrame)]
    voices = second_voices(pieces, frames)
    if not settings.alone:
        plan = make_plan(score, (line_index,), settings)
        own, others = _sounded(plan, time or _clicked(plan, settings))
        voices = [voice for voice in voices if not any(_is(one, voice, others) for one in _beside(voice, own))]
    return _joined(voices) if len(voices) >= LEAST_STRETCHES else []


def bars_of(
    gaps: Sequence[tuple[float, float, str]], score: Score, settings: Settings, time: TimeMap | None = None
) -> tuple[int, ...]:
    """The bars, in reading order, in which two voices were heard; *gaps* as a take's health has them, in seconds."""
    plan = make_plan(score, (0,), settings)
    bars, time = plan.bars, time or _clicked(plan, settings)
    found: set[int] = set()
    for start_s, end_s, why in gaps:
        if why == TWO_VOICES:
            start, end = (time.quarters(seconds_to_frames(Fraction(at))) for at in (start_s, end_s))
            found |= {
                bar.number
                for bar in bars.bars
                if bar.onset_quarters < end and bar.onset_quarters + bar.length_quarters > start
            }
    return tuple(sorted(found))


def _clicked(plan: Plan, settings: Settings) -> TimeMap:
    """Where music time lies in a recording to our click."""
    return fixed_time(plan.tempo, first_full_quarters=plan.bars.first_full_quarters, starts_at_s=settings.starts_at_s)


def _sounded(plan: Plan, time: TimeMap) -> tuple[list[Sounded], list[Sounded]]:
    """The own line as it is written, and all that sounds beside it."""

    def stretch(step: Step) -> Sounded:
        return time.frame(step.from_quarters), time.frame(step.to_quarters), step.pitch_c100

    targets = plan.lines[0].targets
    own = [stretch(step) for target in targets for step in target.steps]
    return own, [stretch(step) for target in targets for note in target.company for step in note.steps]


def _beside(voice: SecondVoice, own: Sequence[Sounded]) -> list[int]:
    """Which of the two pitches is not the singer's own; both where that is not clear."""
    pitches = [voice.own_c100, voice.other_c100]
    left = [one for one in pitches if not _is(one, voice, own)]
    return left if len(left) == 1 else pitches


def _is(pitch_c100: int, voice: SecondVoice, notes: Sequence[Sounded]) -> bool:
    """Whether one of *notes*, in any octave, is that pitch at the time of *voice*."""
    return any(
        from_frame < voice.to_frame and to_frame > voice.from_frame and _folded(pitch_c100 - note_c100) <= NEAR_C100
        for from_frame, to_frame, note_c100 in notes
    )


def _folded(difference_c100: int) -> int:
    rest = difference_c100 % OCTAVE_C100
    return min(rest, OCTAVE_C100 - rest)


def _joined(voices: Sequence[SecondVoice]) -> list[Gap]:
    spans = [(voice.from_frame, voice.to_frame) for voice in voices]
    between = [(before[1], after[0]) for before, after in pairwise(spans) if after[0] - before[1] <= JOINED_FRAMES]
    return [
        Gap(from_frame, to_frame, TWO_VOICES)
        for from_frame, to_frame in sorted(spans + between)
        if from_frame < to_frame
    ]
