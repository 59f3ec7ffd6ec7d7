"""Singing where the line is silent: rests sung in, and notes that nothing asked for."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.judge.listening import overlap
from trainer.judge.phonation import Segment, ms_to_frames
from trainer.judge.span import SAME_C100

SURELY_MS = 230  # shorter than this is a tail or a consonant (own count on two recorded singers)
EXTRA_MS = 250
BEYOND_MS = 1_000
UNCLEAR_STEADY = 350


def sung_in(
    steady: Sequence[Segment],
    bounds: tuple[int, int],
    *,
    before_c100: int | None,
    after_c100: int | None,
    beat_frames: int,
) -> Segment | None:
    """The longest sound that surely lies in a rest, None when it was kept.

    The note before may ring on for half a beat or 300 ms; the next note come early is that note's slip, not the rest's.

    Parameters
    ----------
    steady : sequence of Segment
    bounds : (from_frame, to_frame) of the rest
    before_c100, after_c100 : int or None
        Own notes beside the rest, in the octave in which they are sung.
    beat_frames : int
    """
    from_frame, to_frame = bounds
    margin = min(ms_to_frames(300), (to_frame - from_frame) // 4)
    best: tuple[int, Segment | None] = (0, None)
    for segment in steady:
        inside = overlap(segment, from_frame + margin, to_frame - margin)
        if inside < ms_to_frames(SURELY_MS) or inside <= best[0]:
            continue
        rings_on = segment.start_frame < from_frame and before_c100 is not None and _same(segment, before_c100)
        if rings_on and segment.end_frame <= from_frame + max(beat_frames // 2, ms_to_frames(300)):
            continue
        early = segment.end_frame > to_frame and after_c100 is not None and _same(segment, after_c100)
        if early:
            continue
        best = inside, segment
    return best[1]


def extra_notes(
    free: Sequence[Segment],
    around: tuple[int, int],
    asked: Sequence[tuple[tuple[int, int], tuple[int, ...]]],
) -> list[Segment]:
    """Steady sounds of 250 ms or more that belong to no note.

    Parameters
    ----------
    free : sequence of Segment
        Sound that is no note's body.
    around : (int, int)
        First frame of the first note and the end of the last; what lies more than a second outside is not the take's.
    asked : sequence of (bounds, pitches)
        Every note with its own pitch and its neighbours': a late or early change between them is no extra note.
    """
    found = []
    for segment in free:
        if segment.length_frames < ms_to_frames(EXTRA_MS):
            continue
        if segment.end_frame < around[0] - ms_to_frames(BEYOND_MS) or segment.start_frame > around[1] + ms_to_frames(
            BEYOND_MS
        ):
            continue
        own = any(
            2 * overlap(segment, *bounds) > segment.length_frames and any(_same(segment, p) for p in pitches)
            for bounds, pitches in asked
        )
        if not own:
            found.append(segment)
    return found


def _same(segment: Segment, pitch_c100: int) -> bool:
    return abs(segment.level_c100 - pitch_c100) <= SAME_C100
