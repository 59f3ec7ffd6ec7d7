"""Where a note begins: at its vowel, be it after silence, out of the note before, or the same pitch begun anew.

The beat point of singing is the vowel's onset (Sundberg & Bauer-Huppmann 2007). A voiced consonant (l, m, n) has the note's pitch
already, but lies flat below its vowel and ends with a step; a note that swells has neither. ``consonant`` looks for one that is as loud as
its vowel. A note that begins while a room rings, or noise sounds, as loud as it is sung began nobody knows when: then there is no onset.
"""

from __future__ import annotations

from trainer.judge.consonant import CONSONANT_MS, UNDER_VOWEL_DB10, behind_consonant, behind_step
from trainer.judge.phonation import Segment, median, ms_to_frames
from trainer.judge.pitchline import PitchLine
from trainer.judge.span import SAME_C100, Span, folded

SOFTER_DB10 = 20
HELD_MS = 60
ATTACK_DB10 = 120
FAINTEST_DB10 = 250
FLAT_MS = 25
FLAT_DB10 = 20
EDGE_MS = 5  # the window blurs a step
STEP_MS = 30
STEP_DB10 = 30
DIP_DB10 = 60
DIP_AROUND_MS = 150
RISES_DB10, RISES_MS, STAYS_UP_MS = 45, 40, 80
SOUNDED_ON_MS = 80
RELEASED_DB10 = 60
NOISE_HIDES_DB10, TAIL_HIDES_DB10 = 30, 60
TAIL_NEVER_HIDES_DB10, SUNK_MS = 100, 20
TONE_HIDES_DB10 = 100
NOISE_SWAYS_DB10 = 30
RISE_DB10 = 10  # from hop to hop, as attacks do
CLEAR_SHARE = 80  # per cent of what is usual for this voice; two notes at once are less
HIDDEN_MS, ON_TIME_MS = 60, 80
"""What was hidden may have begun where it could first have been; where even that is later than on time, it is late."""

LEFT_OVER_DB10, LEFT_OVER_CLEAR = 60, 300
SAME_HARMONICS_C100, NEAR_HARMONICS_C100 = (120_000, 190_200, 240_000), 5_000
"""So much less than this note is no part of it; not told of a note whose harmonics are all those of the one before."""

HELD_ON_MS, HELD_ON_EDGE_MS, HELD_ON_LEAST = 250, 20, 8
FADES_DB10, GONE_DB10, FADES_CLEAR, SOUNDS_TENTHS = 40, 150, 75, 8
"""What sounds on is a room's where it is so much softer and, in per cent, no clearer than what was sung; on simulated singers, our own."""


def onset(line: PitchLine, span: Span, lead: Segment, level_c100: int, *, floor_db10: int) -> tuple[int | None, bool]:
    """Where the note begins, None where that cannot be told, and whether a repeated pitch was begun anew.

    Parameters
    ----------
    line : PitchLine
    span : Span
    lead : Segment
        The stretch with which the note begins.
    level_c100 : int
        Pitch of its body.
    floor_db10 : int
        Level of the room, or of steady noise, while nobody sings.
    """
    repeats = span.before_c100 is not None and folded(span.before_c100 - level_c100) <= SAME_C100
    if not repeats:
        # a sound of this pitch that was there long before is not this note's: where it began is then not known
        return (
            _seen(line, span, vowel(line, lead.start_frame), floor_db10)
            if lead.start_frame >= span.before_frame
            else None
        ), False
    reach = min(span.length_frames // 2, ms_to_frames(400))
    earliest, latest = max(span.from_frame - reach, span.before_frame), span.from_frame + reach
    here = earliest <= lead.start_frame <= latest
    attacked = here and lead.after_gap
    begun = [lead.start_frame] if attacked else []
    dip, step = _dip(line, earliest, latest), _step(line, earliest, latest)
    if attacked and (dip is None or dip <= lead.start_frame):
        # the deepest is the silence that the attack ends; where the note before came back with it, this one begins behind it
        dip = _dip(line, lead.start_frame + ms_to_frames(CONSONANT_MS), latest)
    begun += [dip] if dip is not None else []
    begun += [step] if step is not None else []
    if begun and here and not lead.after_gap:
        begun.append(lead.start_frame)  # another pitch was sung before this one
    if begun:
        nearest = min(begun, key=lambda frame: abs(frame - span.from_frame))
        if attacked and nearest == lead.start_frame < span.from_frame and _sounded_on(line, lead):
            return None, False
        return _seen(line, span, vowel(line, nearest), floor_db10), True
    # still sounding from the note before: no start to be judged
    return (lead.start_frame, False) if lead.start_frame > latest else (None, False)


def vowel(line: PitchLine, start_frame: int) -> int:
    """The vowel's onset in sound that begins at *start_frame*."""
    begun = _begun(line, start_frame)
    behind = behind_step(line, begun)
    return begun if behind is None else behind


def _begun(line: PitchLine, start_frame: int) -> int:
    """The same but for a consonant that only comes up behind a first rise."""
    first, end = line.window(start_frame + ms_to_frames(100), start_frame + ms_to_frames(250))
    if first == end:
        return start_frame
    full = median(line.levels[first:end])
    first, end = line.window(start_frame, start_frame + ms_to_frames(CONSONANT_MS))
    loud = _first(line, first, end, full - UNDER_VOWEL_DB10)
    behind = behind_consonant(line, start_frame)
    if behind is not None:
        return behind
    if loud == first:
        _, held = line.window(start_frame, start_frame + ms_to_frames(HELD_MS))
        quiet = next((k for k in range(first, held) if line.levels[k] < full - UNDER_VOWEL_DB10), None)
        if quiet is None:
            return start_frame
        loud = _first(line, quiet, end, full - UNDER_VOWEL_DB10)
    shelf = _shelf_before(line, first, loud, full)
    if shelf is not None:
        return line.centres[_off_shelf(line, shelf, loud, full)]
    # a quick rise is the vowel's own attack and counts from its start; the note before may still be dying away
    lowest = min(range(first, loud + 1), key=lambda k: (line.levels[k], -k))
    if line.levels[first] >= full - UNDER_VOWEL_DB10 and not _sinks(line, first, loud, full):
        return start_frame
    rising = next((k for k in range(lowest, loud) if line.levels[k] >= full - ATTACK_DB10), loud)
    return start_frame if rising == first else line.centres[rising]


def _first(line: PitchLine, first: int, end: int, least_db10: int) -> int:
    """The first frame from *first* on as loud as that; the last one when none is."""
    return next((k for k in range(first, end) if line.levels[k] >= least_db10), end - 1)


def _shelf_before(line: PitchLine, first: int, loud: int, full_db10: int) -> tuple[int, int] | None:
    """The last frame and the level of a flat stretch under the vowel out of which it steps up to *loud*; a swell takes its time."""
    step = max(1, ms_to_frames(STEP_MS) // line.hop_frames)
    feet = range(max(first, loud - step), min(loud, len(line) - step - 1) + 1)
    foot = max(feet, key=lambda k: line.levels[k + step] - line.levels[k], default=first)
    shelf, edge = line.window(
        line.centres[foot] - ms_to_frames(FLAT_MS + EDGE_MS), line.centres[foot] - ms_to_frames(EDGE_MS)
    )
    if shelf < first or edge - shelf < 4:
        return None
    levels = line.levels[shelf:edge]
    level = median(levels)
    under = full_db10 - level
    rise = line.levels[foot + step] - line.levels[foot]
    flat = max(levels) - min(levels) <= FLAT_DB10 and under <= FAINTEST_DB10
    return (edge - 1, level) if flat and rise >= max(STEP_DB10, under * 6 // 10) else None


def _off_shelf(line: PitchLine, shelf: tuple[int, int], loud: int, full_db10: int) -> int:
    """Where the step begins: as an attack out of silence would, but clearly above the shelf."""
    last, level = shelf
    return _first(line, last, loud + 1, max(full_db10 - ATTACK_DB10, level + SOFTER_DB10))


def _seen(line: PitchLine, span: Span, onset_frame: int, floor_db10: int) -> int | None:
    """The onset, None where a note that began in time would have been hidden, by the tail of the one before or by noise."""
    if onset_frame <= span.from_frame + ms_to_frames(HIDDEN_MS):
        return onset_frame
    first, end = line.window(onset_frame, onset_frame + ms_to_frames(250))
    before, at = line.window(span.from_frame - ms_to_frames(150), onset_frame)
    if first == end or at - before < 4:
        return onset_frame
    own = median(line.levels[first:end])
    tone = median([line.tone_db10(k) for k in range(first, end)])
    pitch = median(line.pitches[first:end])
    if (
        _fades(line, span, onset_frame)
        and not _far_under(line, span, onset_frame, own)
        and not _not_begun(line, span, onset_frame, pitch, tone)
    ):
        return None
    loudest = max(line.levels[before : before + (at - before) // 2])
    released = max((k for k in range(before, at) if line.levels[k] >= loudest - RELEASED_DB10), default=before)
    falls = line.levels[released] - min(line.levels[released:at]) >= RELEASED_DB10
    usual = median(line.confidences[before : before + (at - before) // 2])
    earliest = at
    while earliest > before:
        k = earliest - 1
        clear = line.confidences[k] >= usual * CLEAR_SHARE // 100
        rises = line.levels[k] < line.levels[min(earliest, len(line) - 1)] - RISE_DB10
        tail = clear and falls and k > released and not rises
        if clear and line.voiced[k] and not tail and _is_before(span, line.pitches[k]):
            break
        if _leaves_no_room(line, span, k, pitch, tone):
            break
        # noise must be as loud as the note to hide it; a tail need not, for the two of them beat
        if line.levels[k] < own - (TAIL_HIDES_DB10 if tail else NOISE_HIDES_DB10):
            break
        # steady noise without a tone in it is heard to hold none
        if line.levels[k] <= floor_db10 + NOISE_SWAYS_DB10 and line.tone_db10(k) < tone - TONE_HIDES_DB10:
            break
        earliest = k
    return (
        None if line.centres[earliest] <= span.from_frame + ms_to_frames(ON_TIME_MS) and earliest < at else onset_frame
    )


def _not_begun(line: PitchLine, span: Span, onset_frame: int, pitch_c100: int, tone_db10: int) -> bool:
    """Whether nothing of the note was there for a while, later than on time."""
    first, end = line.window(span.from_frame + ms_to_frames(ON_TIME_MS), onset_frame)
    without = sum(_leaves_no_room(line, span, k, pitch_c100, tone_db10) for k in range(first, end))
    return without * line.hop_frames >= ms_to_frames(SUNK_MS)


def _leaves_no_room(line: PitchLine, span: Span, k: int, pitch_c100: int, tone_db10: int) -> bool:
    """Whether all that sounds is the note before: what its harmonics leave over is too little to be this note."""
    above = pitch_c100 - line.pitches[k]
    return (
        span.before_c100 is not None
        and line.left_over_db10(k) < tone_db10 - LEFT_OVER_DB10
        and line.confidences[k] >= LEFT_OVER_CLEAR
        and folded(line.pitches[k] - span.before_c100) <= SAME_C100
        and abs(above) > SAME_C100
        and all(abs(above - interval) > NEAR_HARMONICS_C100 for interval in SAME_HARMONICS_C100)
    )


def _far_under(line: PitchLine, span: Span, onset_frame: int, own_db10: int) -> bool:
    """Whether the room's answer had sunk so far, later than on time, that the note cannot have begun before."""
    first, end = line.window(span.from_frame + ms_to_frames(ON_TIME_MS), onset_frame)
    return _sinks(line, first, end, own_db10)


def _sinks(line: PitchLine, first: int, end: int, own_db10: int) -> bool:
    """Whether it is far softer than the note among these frames for longer than two notes that beat are."""
    under = sum(level < own_db10 - TAIL_NEVER_HIDES_DB10 for level in line.levels[first:end])
    return under * line.hop_frames >= ms_to_frames(SUNK_MS)


def _is_before(span: Span, pitch_c100: int) -> bool:
    """Whether a pitch is that of the note before: only its sound tells that this one has not begun, since our own voices sound as well."""
    return span.before_c100 is None or folded(pitch_c100 - span.before_c100) <= SAME_C100


def _fades(line: PitchLine, span: Span, onset_frame: int) -> bool:
    """Whether what sounds on from the note before is softer and less clear than it was: its room, and not the note held on.

    A room's answer is several decibels under the voice that is heard directly, and no longer one clear tone.
    """
    blurred = ms_to_frames(HELD_ON_EDGE_MS)
    before = line.window(span.from_frame - ms_to_frames(HELD_ON_MS), span.from_frame - blurred)
    after = line.window(span.from_frame + blurred, onset_frame - blurred)
    if min(before[1] - before[0], after[1] - after[0]) < HELD_ON_LEAST:
        return False
    fell = _mean(line.levels[slice(*before)]) - _mean(line.levels[slice(*after)])
    clear, less = median(line.confidences[slice(*before)]), median(line.confidences[slice(*after)])
    sounds = sum(
        line.voiced[k] and span.before_c100 is not None and folded(line.pitches[k] - span.before_c100) <= SAME_C100
        for k in range(*after)
    )
    unbroken = 10 * sounds >= SOUNDS_TENTHS * (after[1] - after[0])
    return unbroken and FADES_DB10 <= fell <= GONE_DB10 and less * 100 <= clear * FADES_CLEAR


def _mean(values: list[int]) -> int:
    return sum(values) // len(values)


def _dip(line: PitchLine, from_frame: int, to_frame: int) -> int | None:
    """Where the level falls by 6 dB and rises again, None when it does not."""
    first, end = line.window(from_frame, to_frame)
    if end - first < 3:
        return None
    lowest = min(range(first, end), key=lambda k: (line.levels[k], k))
    around = ms_to_frames(DIP_AROUND_MS)
    left = line.window(line.centres[lowest] - around, line.centres[lowest])
    right = line.window(line.centres[lowest], line.centres[lowest] + around)
    before, after = max(line.levels[slice(*left)], default=-9999), max(line.levels[slice(*right)], default=-9999)
    if min(before, after) - line.levels[lowest] >= DIP_DB10:
        return line.centres[lowest]
    return None


def _sounded_on(line: PitchLine, lead: Segment) -> bool:
    """Whether the tone was there before the stretch that seems to begin early: too soft, or too far in noise, to count as sung.

    A late one is not asked: what rings before it is the room's.
    """
    first, at = line.window(lead.start_frame - ms_to_frames(SOUNDED_ON_MS), lead.start_frame)
    _, end = line.window(lead.start_frame, lead.start_frame + ms_to_frames(SOUNDED_ON_MS))
    same = sum(folded(line.pitches[k] - lead.level_c100) <= SAME_C100 for k in range(first, at))
    if first == at or 10 * same < SOUNDS_TENTHS * (at - first):
        return False
    before, after = (median([line.tone_db10(k) for k in stretch]) for stretch in (range(first, at), range(at, end)))
    return after - before < STEP_DB10


def _step(line: PitchLine, from_frame: int, to_frame: int) -> int | None:
    """Where the level rises for good by 4.5 dB within 40 ms, None where it does not: no held note swells so fast."""
    rise = max(1, ms_to_frames(RISES_MS) // line.hop_frames)
    stays = max(1, ms_to_frames(STAYS_UP_MS) // line.hop_frames)
    first, end = line.window(from_frame, to_frame)
    feet = range(max(first, stays), min(end, len(line) - rise - stays))
    foot = max(feet, key=lambda k: line.levels[k + rise] - line.levels[k], default=None)
    if foot is None:
        return None
    before = max(line.levels[foot - stays : foot + 1])
    after = min(line.levels[foot + rise : foot + rise + stays])
    return line.centres[foot] if after - before >= RISES_DB10 else None
