"""A recording made without our click, judged in the singer's own time: one time map a line, and timing told as a tempo line."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from fractions import Fraction

from audio.heard import UNTIMED, Gap, Heard, PitchFrame
from audio.units import RATE_HZ, frames_to_seconds, seconds_to_frames
from trainer.judge.alignment.own_time import OwnTime, own_time
from trainer.judge.drive import drive
from trainer.judge.engine import CUT_SHORT, NOT_BEGUN
from trainer.judge.pitchline import PitchLine
from trainer.judge.remarks import ANOTHER_KEY, LIVE
from trainer.practice.event import BeatOver
from trainer.practice.plan import LinePlan, Plan, make_plan
from trainer.practice.signs import Sign
from trainer.practice.take import Health, NoteVerdict, Performance, Take, TempoPoint
from trainer.practice.timemap import TimeMap, fixed_time
from trainer.score.time import bar_named

BEGUN_AGAIN = "broken off and begun again"
WRONG_PIECE = "This does not fit the piece: hardly any of what was sung is this line. Is it the right piece and voice?"
ANOTHERS_FROM, ANOTHERS_MORE = 800, 200
"""Thousandths of what was sung that another voice's line explains, and so many more than the own one, when it is that one's."""

ANOTHERS_LINE = "This was the {voice}'s line; --voice {voice} judges it."
EVER = 1 << 60


def judge_in_own_time(plan: Plan, heard: Iterable[Heard]) -> Performance:
    """Every line of the plan judged in its own time, whatever the others did."""
    records = list(heard)
    return Performance(tuple(_take(plan, k, line, records) for k, line in enumerate(plan.lines)))


def judge_led(
    plan: Plan, heard: Iterable[Heard], *, time: TimeMap, listen: Callable[[BeatOver], None] | None = None
) -> Performance:
    """A live take in which the others yielded to the singer: music time is known, but it was the singer's, so nothing is timed."""
    untimed = itertools.chain([Gap(-EVER, EVER, UNTIMED)], heard)
    told = drive(plan, untimed, time=time, listen=listen, advice=LIVE)
    return Performance(tuple(_led(plan, line, take) for line, take in zip(plan.lines, told.takes, strict=True)))


def _led(plan: Plan, line: LinePlan, take: Take) -> Take:
    """The take with the tempo that its own entries make."""
    begun = [
        (plan.bars.quarters(note.bar, note.beat), seconds_to_frames(Fraction(note.start_s)))
        for note in take.notes
        if note.expected is not None and note.start_s is not None
    ]
    return replace(take, health=_timed(take), tempo_line=_tempo_points(plan, begun))


def _timed(take: Take) -> Health:
    """Its health, without saying that nothing was timed: that is what free time is."""
    return replace(take.health, gaps=tuple(gap for gap in take.health.gaps if gap[2] != UNTIMED))


def _take(plan: Plan, k: int, line: LinePlan, records: Sequence[Heard]) -> Take:
    own = replace(plan, lines=(line,))
    mine = [replace(r, line=0) for r in records if isinstance(r, PitchFrame) and r.line == k]
    lost = [r for r in records if isinstance(r, Gap)]
    pitch_line = PitchLine()
    for frame in mine:
        pitch_line.append(frame)
    found = own_time(own, line, pitch_line)
    if found is None:
        start = fixed_time(
            own.tempo, first_full_quarters=own.bars.first_full_quarters, starts_at_s=own.settings.starts_at_s
        )
        return drive(own, [*lost, *mine], time=start).takes[0]
    untimed = Gap(-EVER, EVER, UNTIMED)
    take = drive(own, [*lost, untimed, *_without_again(mine, found)], time=TimeMap(found.anchors)).takes[0]
    if take.status == "nothing heard" or any(ANOTHER_KEY in remark for remark in take.remarks):
        return _told(plan, line, take, found)
    voice = _whose(plan, line, pitch_line, found)
    if voice is not None:
        return _not_told(take, ANOTHERS_LINE.format(voice=voice))
    return _told(plan, line, take, found) if found.fits else _not_told(take, WRONG_PIECE)


def _whose(plan: Plan, line: LinePlan, heard: PitchLine, found: OwnTime) -> str | None:
    """The voice whose line was sung instead of this one."""
    best, voice = max(ANOTHERS_FROM, found.explained + ANOTHERS_MORE) - 1, None
    if best >= 1000:
        return None
    for k, name in enumerate(plan.score.voice_names()):
        if k != line.line_index:
            other = make_plan(plan.score, (k,), plan.settings)
            fit = own_time(other, other.lines[0], heard)
            if fit is not None and fit.explained > best:
                best, voice = fit.explained, name
    return voice


def _not_told(take: Take, why: str) -> Take:
    """The take of whoever sang something else: nothing in it says anything of this line."""
    return replace(
        take,
        notes=tuple(_without_sound(n, Sign.UNSURE) for n in take.notes if n.expected is not None),
        beats=tuple(
            replace(b, sign=b.sign if b.sign is Sign.REST else Sign.UNSURE, cents=None, sung=None, pulled_to=None)
            for b in take.beats
        ),
        clashes=(),
        extra=(),
        drift_cents=None,
        octave_shift=0,
        whole_take_cents=None,
        remarks=(why, *(said for said in take.remarks if said in (CUT_SHORT, NOT_BEGUN))),
        health=_timed(take),
    )


def _without_sound(note: NoteVerdict, sign: Sign) -> NoteVerdict:
    """The written note alone, and why."""
    return NoteVerdict(note.bar, note.beat, note.printed_bar, note.length_beats, note.expected, (sign,), why=note.why)


def _without_again(frames: Sequence[PitchFrame], found: OwnTime) -> list[PitchFrame]:
    """The frames, with what was broken off no longer taken as sung."""
    return [
        replace(f, voiced=False, level_db10=-1200) if any(a <= f.centre_frame < b for a, b, _ in found.again) else f
        for f in frames
    ]


def _told(plan: Plan, line: LinePlan, take: Take, found: OwnTime) -> Take:
    """The take with what its own time says of it."""
    silent = {line.targets[index].place for index in found.left_out}
    covered = {
        (place.bar, place.beat)
        for at, length in plan.bars.beats()
        for index in found.left_out
        if line.targets[index].onset_quarters <= at and at + length <= line.targets[index].end_quarters
        for place in [plan.bars.place(at)]
    }
    notes = tuple(
        _without_sound(n, Sign.SILENT)
        if any((n.bar, n.beat) == (place.bar, place.beat) for place in silent) and n.expected is not None
        else n
        for n in take.notes
    )
    beats = tuple(
        replace(b, sign=Sign.SILENT, cents=None, sung=None, pulled_to=None) if (b.bar, b.beat) in covered else b
        for b in take.beats
    )
    said = [
        f"Begun again at {bar_named(place.bar, place.printed_bar)}: the last time through is judged."
        for *_, index in found.again
        for place in [line.targets[index].place]
    ]
    return replace(
        take,
        notes=notes,
        beats=beats,
        remarks=(*dict.fromkeys(said), *take.remarks),
        health=_timed(take),
        tempo_line=_tempo_line(plan, line, found),
    )


def _tempo_line(plan: Plan, line: LinePlan, found: OwnTime) -> tuple[TempoPoint, ...]:
    """Where every bar begins with a sung note, and the tempo up to the next of them."""
    last = found.anchors[-1]
    begun = [(line.targets[index].onset_quarters, frame) for index, frame in found.begun]
    return _tempo_points(plan, [*begun, (last.quarters, last.frame)])


def _tempo_points(plan: Plan, begun: Sequence[tuple[Fraction, int]]) -> tuple[TempoPoint, ...]:
    """The tempo from the first entry of each bar to the next; the last of *begun* ends the last."""
    points: list[tuple[Fraction, int]] = []
    for quarters, frame in begun[:-1]:
        if not points or plan.bars.place(points[-1][0]).bar < plan.bars.place(quarters).bar:
            points.append((quarters, frame))
    points += begun[-1:]
    told = []
    for (quarters, frame), (next_quarters, next_frame) in itertools.pairwise(points):
        tempo = (next_quarters - quarters) * 60 * RATE_HZ / (next_frame - frame) if next_frame > frame else Fraction(0)
        place = plan.bars.place(quarters)
        told.append(TempoPoint(place.bar, place.beat, frames_to_seconds(frame), round(float(tempo), 1)))
    return tuple(told)
