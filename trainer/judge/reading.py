"""From what was heard in a span to its signs and numbers: the rules for one note, free of its neighbours' verdicts.

Where a figure's uncertainty straddles a limit the milder sign is taken. Limits and their sources stand beside each name.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from audio.units import frames_to_ms
from trainer.judge.consonant import CONSONANT_MS
from trainer.judge.listening import Listening
from trainer.judge.phonation import Segment, ms_to_frames
from trainer.judge.span import OCTAVE, Span
from trainer.practice.signs import Sign

RIGHT_C100 = (
    7_000  # up to 50 surely right (the usual window of transcription scoring), 50 to 70 between two notes (ours)
)
SURELY_RIGHT_C100 = 5_000
OWN_TAIL_MS = 100
SHORTEST_JUDGED_MS = 150  # computed on simulated notes
SHORTEST_TUNED_MS = 250  # the same, without vibrato
SHORTEST_VIBRATO_MS = 400  # the same, with more than 30 cents of it
WIDE_VIBRATO_C100 = 3_000
BREATH_MS = 600
BREATH_INSIDE_MS = 150  # inside a note there is no consonant
BREATH_FROM_MS = (
    200  # between notes: breaths last 230 to 430 ms, consonants up to 170 (own count on two recorded singers)
)
BREATH_EATS_MS = 100
RELEASE_MS = 150
SLIDE_MS = 200
ONSET_UNCERTAINTY_MS = 20  # half the tracker's window; the milder sign is taken inside it
SCOOP_C100 = 4_000
UNCLEAR = 350
LOUD_SHARE = 6  # one sixth of the span
HINTED_SHARE = 3  # a third: by chance it is a twelfth
RINGS_TENTHS = 3
EVERY_TURN = (2, 3)


@dataclass(frozen=True, slots=True)
class Frame:
    """What one line's readings are taken against.

    Parameters
    ----------
    shift : int
        Octaves taken off.
    offset_c100 : int
        Offset and drift taken off at this place, 0 in company.
    tolerance_c100, on_time_frames, beat_frames : int
    free_octave : bool
    timed : bool
        Whether timing may be judged here.
    last : bool
        Whether a rest or the end follows: nothing comes back after this note.
    breath_after : bool
    lost_frames : int
        Frames of the span whose sound was lost.
    spoken : bool
        Whether what is heard around here is speech more than song.
    ahead_frames : int
        Where timing may not be judged: how much the note seems to begin before its time. Its end may lie as much before.
    """

    shift: int
    offset_c100: int
    tolerance_c100: int
    on_time_frames: int
    beat_frames: int
    free_octave: bool
    timed: bool
    last: bool
    breath_after: bool
    lost_frames: int
    spoken: bool
    ahead_frames: int = 0


@dataclass(frozen=True, slots=True)
class Reading:
    """One span, read. Cents are hundredths (``_c100``), times are frames; sharp and late positive."""

    signs: frozenset[Sign]
    pitch_c100: int | None = None
    deviation_c100: int | None = None
    cents_c100: int | None = None
    uncertainty_c100: int | None = None
    onset_error: int | None = None
    release_error: int | None = None
    scoop_c100: int | None = None
    between: bool = False
    why: tuple[tuple[str, str], ...] = field(default=(), compare=False)


def read(heard: Listening, span: Span, frame: Frame) -> Reading:
    """Signs and numbers of one span."""
    why = _numbers(heard, span, frame)
    nothing = _nothing(heard, span, frame)
    if nothing is not None:
        return Reading(frozenset({nothing}), why=why)
    deviation = heard.figure.deviation_c100 if heard.figure else heard.pitch_c100 - span.reference_c100(span.from_frame)
    deviation -= frame.shift * OCTAVE + frame.offset_c100
    if frame.free_octave:
        deviation -= _octaves(deviation) * OCTAVE
    signs, cents, uncertainty = _tuning(heard, span, frame, deviation)
    onset_error, late = _onset(heard, span, frame)
    release_error, left = _release(heard, span, frame)
    return Reading(
        frozenset(signs | late | left),
        heard.pitch_c100,
        deviation,
        cents,
        uncertainty,
        onset_error,
        release_error,
        _scoop(heard, span),
        Sign.OFF not in signs and Sign.OCTAVE not in signs and abs(deviation) > 5_000,
        why,
    )


def _nothing(heard: Listening, span: Span, frame: Frame) -> Sign | None:
    """SILENT or UNSURE where there is too little to say more, None where a note was sung."""
    length = span.length_frames
    doubtful = heard.loud_frames >= max(ms_to_frames(100), length // LOUD_SHARE)
    if frame.lost_frames * 4 > length or length < ms_to_frames(SHORTEST_JUDGED_MS):
        return Sign.UNSURE
    least = max(ms_to_frames(80), length // 10)
    short = heard.sung_frames * 4 < length and heard.sung_frames < ms_to_frames(250)
    if heard.fades and short:
        return Sign.SILENT
    if heard.rings:
        # of a tail that is over long before the note would be, nothing was sung on top; of another nobody can say
        over = heard.body[-1].end_frame <= span.to_frame - length * RINGS_TENTHS // 10
        return Sign.SILENT if over and not doubtful else Sign.UNSURE
    borrowed = _borrowed(heard, span)
    if not heard.body or heard.sung_frames < least or borrowed:
        hinted = heard.hinted_frames * HINTED_SHARE >= length
        unclear = doubtful or hinted or (heard.clear_frames >= 3 * least and not borrowed)
        return Sign.UNSURE if unclear else Sign.SILENT
    steady = heard.steady_frames + (heard.swung_frames if _surely_vibrato(heard, span, frame) else 0)
    if steady * 2 < heard.sung_frames or (frame.spoken and steady * 2 < length):
        return Sign.UNSURE  # a voice that speaks, a cough
    if heard.confidence < UNCLEAR or short:
        return Sign.UNSURE
    return None


def _surely_vibrato(heard: Listening, span: Span, frame: Frame) -> bool:
    """Whether what moves as far as the singer's vibrato is a note and no speech: it is the note asked for, and heard at every turn.

    Of a note of which noise leaves only the tops of the vibrato, nobody knows the middle.
    """
    away = heard.pitch_c100 - span.reference_c100(span.from_frame) - frame.shift * OCTAVE
    from_frame, to_frame = max(heard.body[0].start_frame, span.from_frame), min(heard.body[-1].end_frame, span.to_frame)
    return (
        abs(away) <= SURELY_RIGHT_C100 and heard.sung_frames * EVERY_TURN[1] >= (to_frame - from_frame) * EVERY_TURN[0]
    )


def _borrowed(heard: Listening, span: Span) -> bool:
    """Whether all that sounds is the end of the note before or the start of the note after."""
    return bool(heard.body) and all(_of_neighbour(segment, heard, span) for segment in heard.body)


def _of_neighbour(segment: Segment, heard: Listening, span: Span) -> bool:
    """Whether a segment is the note before dying away, or the note after with its consonant; one of the own pitch only if it is short."""
    right = abs(heard.pitch_c100 - span.reference_c100(span.from_frame)) % OCTAVE <= SURELY_RIGHT_C100
    reach, consonant = max(span.length_frames // 4, ms_to_frames(200)), ms_to_frames(CONSONANT_MS)
    tail = (
        span.own_start
        and span.before_c100 is not None
        and segment.start_frame < span.from_frame - ms_to_frames(150)
        and segment.end_frame <= span.from_frame + (ms_to_frames(OWN_TAIL_MS) if right else reach)
    )
    head = (
        span.own_end
        and span.after_c100 is not None
        and segment.start_frame >= span.to_frame - (min(consonant, span.length_frames // 2) if right else reach)
        and segment.end_frame > span.to_frame + ms_to_frames(100)
    )
    return tail or head


def _tuning(heard: Listening, span: Span, frame: Frame, deviation: int) -> tuple[set[Sign], int | None, int | None]:
    """Tuning signs, cents to print and their uncertainty."""
    uncertainty = heard.figure.uncertainty_c100 if heard.figure else RIGHT_C100
    octaves = _octaves(deviation)
    rest = deviation - octaves * OCTAVE
    within = abs(rest) - uncertainty <= RIGHT_C100
    if octaves and within:
        return {Sign.OCTAVE}, rest, uncertainty
    if abs(deviation) - uncertainty > RIGHT_C100:
        return {Sign.OFF}, deviation, uncertainty
    if not _long_enough(heard, span):
        return set(), None, None
    if abs(deviation) - uncertainty > frame.tolerance_c100:
        return {Sign.SHARP if deviation > 0 else Sign.FLAT}, deviation, uncertainty
    return set(), deviation, uncertainty


def _long_enough(heard: Listening, span: Span) -> bool:
    if heard.figure is None or heard.figure.kept_ms < 80:
        return False
    wide = heard.figure.vibrato_extent_c100 > WIDE_VIBRATO_C100
    least = SHORTEST_VIBRATO_MS if wide else SHORTEST_TUNED_MS
    return min(heard.sung_frames, span.length_frames) >= ms_to_frames(least) - ms_to_frames(20)


def _onset(heard: Listening, span: Span, frame: Frame) -> tuple[int | None, set[Sign]]:
    if not span.own_start or not frame.timed or heard.onset_frame is None:
        return None, set()
    error = heard.onset_frame - span.from_frame
    limit = frame.on_time_frames + ms_to_frames(ONSET_UNCERTAINTY_MS)
    if error > limit:
        return error, {Sign.LATE}
    if error < -limit:
        return error, {Sign.EARLY}
    return error, set()


def _release(heard: Listening, span: Span, frame: Frame) -> tuple[int | None, set[Sign]]:
    limit = max(frame.beat_frames // 2, ms_to_frames(BREATH_MS))
    last = heard.body[-1]
    signs = {
        Sign.BREATH if to_frame - from_frame <= limit else Sign.LEFT_EARLY
        for from_frame, to_frame in heard.silences
        if from_frame != last.end_frame and to_frame - from_frame >= ms_to_frames(BREATH_INSIDE_MS)
    }
    error = last.end_frame - span.to_frame
    if error < 0 and heard.release_frame is not None and not (span.own_end and frame.breath_after):
        signs |= _left(heard, span, frame, -error - frame.ahead_frames, limit)
    return (error if span.own_end and heard.release_frame is not None else None), signs


def _left(heard: Listening, span: Span, frame: Frame, short: int, limit: int) -> set[Sign]:
    """What a body that stops *short* frames before its span's end is: a breath, left early, or neither."""
    last = heard.body[-1]
    allowed = max((span.whole_frames if span.own_end else span.length_frames) // 5, ms_to_frames(RELEASE_MS))
    if not last.before_gap:
        return (
            {Sign.LEFT_EARLY} if span.own_end and short > allowed and not _moved_to_next(heard, span, short) else set()
        )
    from_frame, to_frame = next(
        (g for g in heard.silences if g[0] == last.end_frame), (last.end_frame, span.after_frame)
    )
    comes_back = to_frame < span.after_frame and to_frame - from_frame <= limit and not (span.own_end and frame.last)
    if comes_back:
        breath = to_frame - from_frame >= ms_to_frames(BREATH_FROM_MS) and short >= ms_to_frames(BREATH_EATS_MS)
        return {Sign.BREATH} if breath else set()
    return {Sign.LEFT_EARLY} if short > allowed else set()


def _moved_to_next(heard: Listening, span: Span, short: int) -> bool:
    """Whether the sound that follows the body is the next note come early: that slip is counted there."""
    if span.after_c100 is None:
        return False
    later = [
        s
        for s in heard.strays
        if s.start_frame >= heard.body[-1].end_frame - 1 and s.length_frames > ms_to_frames(SLIDE_MS)
    ]
    if not later:  # a slide into the next note, unless it is too long for one
        return short <= ms_to_frames(SLIDE_MS + RELEASE_MS)
    rest = (later[0].level_c100 - span.after_c100) % OCTAVE
    return min(rest, OCTAVE - rest) <= RIGHT_C100


def _scoop(heard: Listening, span: Span) -> int | None:
    if not span.own_start or heard.entry_c100 is None or abs(heard.entry_c100) < SCOOP_C100:
        return None
    return heard.entry_c100


def _octaves(deviation: int) -> int:
    return (deviation + OCTAVE // 2) // OCTAVE


def _numbers(heard: Listening, span: Span, frame: Frame) -> tuple[tuple[str, str], ...]:
    """The evidence, for whoever asks why."""
    rows = [
        ("length", f"{frames_to_ms(span.length_frames)} ms"),
        ("sung", f"{frames_to_ms(heard.sung_frames)} ms"),
        ("clear", f"{heard.confidence / 10:.0f} of 100"),
    ]
    if heard.loud_frames:
        rows.append(("loud but without a pitch", f"{frames_to_ms(heard.loud_frames)} ms"))
    if heard.figure is not None:
        rows.append(("figure rests on", f"{heard.figure.kept_ms} ms"))
        rows.append(("wavers by", f"{heard.figure.wander_c100 // 100} cents"))
    if frame.offset_c100:
        rows.append(("offset and drift taken off", f"{frame.offset_c100 // 100} cents"))
    if frame.lost_frames:
        rows.append(("sound lost", f"{frames_to_ms(frame.lost_frames)} ms"))
    return tuple(rows)
