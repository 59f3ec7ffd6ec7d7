"""What was heard inside one span of a target: the body of the note, its figure, when it began and ended.

A span is a whole note, the part of it inside one beat, or one third of a clash: all three are listened to by the same code.
The *body* is the pitch that filled most of the span; the right pitch counts half as much again, so that a note found late, or
left early, is still the right note.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass

from trainer.judge.figure import Figure, figure, trim_frames
from trainer.judge.onset import onset
from trainer.judge.phonation import Segment, median, ms_to_frames
from trainer.judge.pitchline import PitchLine
from trainer.judge.span import OCTAVE, SAME_C100, Span, folded
from trainer.judge.tail import dies_away, fades_out

SLIP_WITHIN_C100 = 4_000
HARMONICS_C100 = (190_196, 278_631, 310_196, 336_883)  # 3, 5, 6 and 7 to one; the others are octaves
RIGHT_C100 = 5_000
RIGHT_WEIGHT = (3, 2)
ENTRY_C100 = 20_000
NEAR_END_MS = 200
LEAD_BEFORE_MS = 30
RINGS_BEFORE_MS = 150
HINT_FROM = 60  # noise that happens to have a pitch for a moment lies below
SCOOP_PIECE_MS = 300


@dataclass(frozen=True, slots=True)
class Listening:
    """What a span held. Times are frames.

    Parameters
    ----------
    body : tuple of Segment
        Segments of the main pitch, in time order; empty when nothing was sung.
    strays : tuple of Segment
        Other steady pitches of 100 ms or more inside the span.
    figure : Figure or None
        Deviation from the reference, no octave taken off.
    pitch_c100 : int
        Level of the body; 0 without one.
    sung_frames, clear_frames, loud_frames : int
        Frames of time within the span that the body fills; that are voiced at all; that are loud without being voiced.
    confidence : int
        Median over the body, 0..1000.
    onset_frame, release_frame : int or None
        None where the neighbour has the same pitch and no new start is heard.
    attacked : bool
        Whether the body begins after silence.
    restruck : bool
        Same pitch as the note before, begun anew.
    entry_c100 : int or None
        First pitch after an attack, against the body.
    silences : tuple of (int, int)
        Gaps inside the body or before the next sound, from and to frame, 40 ms or more.
    steady_frames : int
        Frames of time within the span that the body fills without gliding.
    rings : bool
        Whether all that sounds is the room after the note before.
    hinted_frames : int
        Frames of time that are not voiced but whose best guess is the note asked for, in any octave.
    swung_frames : int
        Frames of time within the span that the body fills gliding, but no further than the singer's vibrato.
    fades : bool
        Whether the note before only fades into the span, and nothing after it is as loud as the singer.
    """

    body: tuple[Segment, ...]
    strays: tuple[Segment, ...]
    figure: Figure | None
    pitch_c100: int
    sung_frames: int
    clear_frames: int
    loud_frames: int
    confidence: int
    onset_frame: int | None
    release_frame: int | None
    attacked: bool
    restruck: bool
    entry_c100: int | None
    silences: tuple[tuple[int, int], ...]
    steady_frames: int
    rings: bool
    hinted_frames: int
    swung_frames: int = 0
    fades: bool = False


@dataclass(frozen=True, slots=True)
class Levels:
    """What is loud and soft in one line, tenths of a dBFS.

    Parameters
    ----------
    loud_db10 : int
        From here sound that is not voiced makes a span doubtful instead of silent.
    floor_db10 : int
        The room, or steady noise, while nobody sings.
    faint_db10 : int
        What is softer is not this singer.
    """

    loud_db10: int
    floor_db10: int
    faint_db10: int


def overlap(segment: Segment, from_frame: int, to_frame: int) -> int:
    """Frames of *segment* inside [from, to)."""
    return max(0, min(segment.end_frame, to_frame) - max(segment.start_frame, from_frame))


def listen(line: PitchLine, steady: list[Segment], span: Span, *, levels: Levels) -> Listening:
    """Everything that the judge needs of one span.

    Parameters
    ----------
    line : PitchLine
    steady : list of Segment
        The line's segments in time order, at least those that touch the span and its neighbours.
    span : Span
    levels : Levels
        What is loud, soft and far too soft around here.
    """
    first = bisect_left(steady, span.before_frame, key=lambda s: s.end_frame)
    found = steady[first : bisect_left(steady, span.after_frame, key=lambda s: s.start_frame)]
    inside = [s for s in found if overlap(s, span.from_frame, span.to_frame) > 0]
    body = _body(inside, span)
    loud, clear = _sound_inside(line, span, levels.loud_db10)
    fades = span.own_start and fades_out(line, span.from_frame, span.to_frame, levels.faint_db10)
    if not body:
        hinted = _hinted(line, span, levels.faint_db10)
        return Listening(
            (), (), None, 0, 0, clear, loud, 0, None, None, False, False, None, (), 0, False, hinted, 0, fades
        )
    main = max(body, key=lambda s: (overlap(s, span.from_frame, span.to_frame), -s.start_frame))
    level = median([line.pitches[k] for s in body if abs(s.level_c100 - main.level_c100) <= SAME_C100 for k in s.kept])
    lead = _lead_in(found, body[0], span, level)
    onset_frame, restruck = onset(line, span, lead, level, floor_db10=levels.floor_db10)
    strays = tuple(
        s
        for s in inside
        if s not in body and s is not lead and overlap(s, span.from_frame, span.to_frame) >= ms_to_frames(100)
    )
    kept = _trimmed(line, span, body)
    deviations = [line.pitches[k] - span.reference_c100(line.centres[k]) for k in kept]
    sure = 100 * median([line.uncertainties[k] for k in kept]) if kept else 0
    made = figure(deviations, line.hop_frames, sure)
    return Listening(
        body,
        strays,
        made,
        level,
        sum(overlap(s, span.from_frame, span.to_frame) for s in body),
        clear,
        loud,
        median([line.confidences[k] for s in body for k in s.kept]),
        onset_frame,
        _release(found, body[-1], span),
        lead.after_gap,
        restruck,
        _entry(line, lead, level) if lead.after_gap or lead is not body[0] else None,
        _silences(found, body, span),
        sum(overlap(s, span.from_frame, span.to_frame) for s in body if not s.glides),
        span.own_start
        and body[0].start_frame < span.from_frame - ms_to_frames(RINGS_BEFORE_MS)
        and dies_away(line, span.from_frame, min(body[-1].end_frame, span.to_frame)),
        _hinted(line, span, levels.faint_db10),
        sum(overlap(s, span.from_frame, span.to_frame) for s in body if s.swings),
        fades,
    )


def _hinted(line: PitchLine, span: Span, faint_db10: int) -> int:
    """Time in which the tracker would say the note asked for if it had to say anything, of what is not far too soft for a singer."""
    first, end = line.window(span.from_frame, span.to_frame)
    return line.hop_frames * sum(
        not line.voiced[k]
        and line.confidences[k] >= HINT_FROM
        and line.levels[k] >= faint_db10
        and folded(line.pitches[k] - span.reference_c100(line.centres[k])) <= RIGHT_C100
        for k in range(first, end)
    )


def _body(inside: list[Segment], span: Span) -> tuple[Segment, ...]:
    """Segments of the pitch with most time in the span, the right pitch weighted up."""
    best: tuple[int, tuple[Segment, ...]] = (0, ())
    for leader in inside:
        group = tuple(s for s in inside if abs(s.level_c100 - leader.level_c100) <= SAME_C100 or _slipped(s, leader))
        weight = sum(overlap(s, span.from_frame, span.to_frame) for s in group) * RIGHT_WEIGHT[1]
        off = (leader.level_c100 - span.reference_c100(leader.start_frame)) % OCTAVE
        if min(off, OCTAVE - off) <= RIGHT_C100:
            weight = weight * RIGHT_WEIGHT[0] // RIGHT_WEIGHT[1]
        if weight > best[0]:
            best = weight, group
    return best[1]


def _slipped(segment: Segment, leader: Segment) -> bool:
    """Whether a shorter stretch in the same breath lies an exact octave away: the tracker slipped, nobody leaps so within a note."""
    if segment.length_frames >= leader.length_frames or (segment.after_gap and segment.before_gap):
        return False
    away = segment.level_c100 - leader.level_c100
    return abs(away) > OCTAVE // 2 and folded(away) <= SLIP_WITHIN_C100


def _harmonic(away_c100: int) -> bool:
    """Whether a tracker that takes one harmonic for another at a note's beginning would be as far away as that."""
    octaves = abs(away_c100) > OCTAVE // 2 and folded(away_c100) <= SLIP_WITHIN_C100
    return octaves or any(abs(abs(away_c100) - interval) <= SLIP_WITHIN_C100 for interval in HARMONICS_C100)


def _sound_inside(line: PitchLine, span: Span, loud_db10: int) -> tuple[int, int]:
    """Time that is loud without being voiced, and time that is voiced, both in frames."""
    first, end = line.window(span.from_frame, span.to_frame)
    voiced = sum(line.voiced[first:end])
    loud = sum(1 for k in range(first, end) if not line.voiced[k] and line.levels[k] > loud_db10)
    return loud * line.hop_frames, voiced * line.hop_frames


def _lead_in(found: list[Segment], first: Segment, span: Span, level_c100: int) -> Segment:
    """The segment with which the note really begins: a short slide into the body belongs to it."""
    index = found.index(first)
    if first.after_gap or index == 0:
        return first
    before = found[index - 1]
    short = before.length_frames <= ms_to_frames(SCOOP_PIECE_MS)
    begun_here = before.after_gap and before.start_frame >= span.from_frame - ms_to_frames(LEAD_BEFORE_MS)
    of_the_note_before = (
        not begun_here and span.before_c100 is not None and folded(before.level_c100 - span.before_c100) <= SAME_C100
    )
    here = (before.start_frame + before.end_frame) // 2 >= span.from_frame - ms_to_frames(
        LEAD_BEFORE_MS
    ) or before.after_gap
    away = before.level_c100 - level_c100
    slid = here and abs(away) <= 2 * ENTRY_C100
    slipped = _harmonic(away)
    if short and not of_the_note_before and (slid or slipped):
        return before
    return first


def _entry(line: PitchLine, lead: Segment, level_c100: int) -> int | None:
    """Median pitch of the first 60 ms against the body."""
    head = [k for k in lead.kept if line.centres[k] < lead.start_frame + ms_to_frames(60)]
    return median([line.pitches[k] for k in head]) - level_c100 if len(head) >= 3 else None


def _release(found: list[Segment], last: Segment, span: Span) -> int | None:
    """Where the body stops; None when the next note has the same pitch and the sound simply goes on."""
    if span.after_c100 is not None and folded(span.after_c100 - last.level_c100) <= SAME_C100:
        later = [s for s in found if s.start_frame >= last.end_frame - 1]
        if last.end_frame > span.to_frame or (later and not later[0].after_gap):
            return None
    return last.end_frame


def _silences(found: list[Segment], body: tuple[Segment, ...], span: Span) -> tuple[tuple[int, int], ...]:
    """Gaps that follow a segment of the body, up to where the singer is back: on this note, on the next, or past this one's end.

    Any other sound in between is not a return.
    """
    level = max(body, key=lambda s: s.length_frames).level_c100
    gaps = []
    for segment in body:
        if not segment.before_gap:
            continue
        back = (
            s
            for s in found
            if s.start_frame >= segment.end_frame
            and (
                s.start_frame >= span.to_frame - ms_to_frames(NEAR_END_MS)
                or abs(s.level_c100 - level) <= SAME_C100
                or (
                    span.after_c100 is not None
                    and folded(s.level_c100 - span.after_c100) <= SAME_C100
                    and abs(s.level_c100 - level) <= OCTAVE + SAME_C100
                )
            )
        )
        first = next(back, None)
        until = span.after_frame if first is None else first.start_frame
        if until > segment.end_frame:  # what sounds on past the middle of the next note has no gap that is this one's
            gaps.append((segment.end_frame, until))
    return tuple(gaps)


def _trimmed(line: PitchLine, span: Span, body: tuple[Segment, ...]) -> list[int]:
    """Indexes of the body's frames, less what is trimmed at the ends of each stretch and outside the span."""
    whole = sum(overlap(s, span.from_frame, span.to_frame) for s in body)
    kept: list[int] = []
    for segment in body:
        begins_here = segment.start_frame >= span.from_frame or span.own_start
        ends_here = segment.end_frame <= span.to_frame or span.own_end
        from_frame = max(segment.start_frame, span.from_frame)
        to_frame = min(segment.end_frame, span.to_frame)
        trim = min(trim_frames(whole), (to_frame - from_frame) // 4)
        if begins_here:
            from_frame += trim
        if ends_here:
            to_frame -= trim
        kept += [k for k in segment.kept if from_frame <= line.centres[k] < to_frame]
    return kept
