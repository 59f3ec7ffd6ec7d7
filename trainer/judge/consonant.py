"""A voiced consonant (l, m, n) that is as loud as its vowel, or nearly: only what lies between the two tells where the vowel begins.

It has the note's pitch already, so a pitch that still slides is no consonant. Either it closes with a dip, or the vowel behind it comes
up once more: a vowel is up within 40 ms of its own beginning, and what comes up later is not the same sound. Limits were chosen on
simulated singers (tests/bench/verdicts) and are our own.
"""

from __future__ import annotations

from itertools import accumulate

from trainer.judge.phonation import median, ms_to_frames
from trainer.judge.pitchline import PitchLine

CONSONANT_MS = 170
CLOSES_MS, CLOSES_IN_NOISE_MS = 90, 80
DIP_DB10, DIPS_BY_DB10 = 60, 30
"""A dip lies so far under the vowel and under the consonant."""

UNDER_VOWEL_DB10, SOUNDS_DB10 = 40, 70
"""From here a vowel is there; from here the consonant counts."""

BURST_DB10 = 10  # so much louder than what follows is a choir's first burst, and the vowel already
BEGINS_MS, BEGINS_DB10 = 15, 20
STAYS_MS, FALLS_DB10 = 15, 10
SAME_NOTE_C100 = 3_000
CLEAR_VOWEL = 700
"""Confidence in thousandths from which a note stands out of the noise enough for its tone to be looked at."""

SHORTEST_MS, LONGEST_MS = 40, 80
RISE_MS, STAYS_UP_MS, RISES_DB10 = 25, 60, 27
SLIDES_C100 = 1_000
EDGE_MS = 5  # the window blurs a step


def behind_consonant(line: PitchLine, start_frame: int) -> int | None:
    """Where the vowel begins behind such a consonant that begins at *start_frame*, None where there is none.

    Noise fills a dip in the level; a note that stands clear of it shows the dip in its tone.
    """
    vowel = _vowel_of(line, start_frame)
    if not vowel:
        return None
    within = range(*line.window(start_frame, start_frame + ms_to_frames(CONSONANT_MS)))
    found = _closed(
        line, within, vowel, [line.levels[k] for k in within], median([line.levels[k] for k in vowel]), CLOSES_MS
    )
    if found is None and median([line.confidences[k] for k in vowel]) >= CLEAR_VOWEL:
        tones, full = [line.tone_db10(k) for k in within], median([line.tone_db10(k) for k in vowel])
        found = _closed(line, within, vowel, tones, full, CLOSES_IN_NOISE_MS)
    return None if found is None else line.centres[found]


def _vowel_of(line: PitchLine, start_frame: int) -> range:
    """Frames in which the vowel sounds in any case."""
    return range(*line.window(start_frame + ms_to_frames(100), start_frame + ms_to_frames(250)))


def _closed(
    line: PitchLine, within: range, vowel: range, heights_db10: list[int], full_db10: int, closes_ms: int
) -> int | None:
    """The frame with which the vowel comes up behind a dip, *heights_db10* being the levels, or tones, of the frames *within*."""
    heights, least = heights_db10, full_db10 - UNDER_VOWEL_DB10
    loud = next((k for k, height in enumerate(heights) if height >= full_db10 - SOUNDS_DB10), len(heights))
    closes = sum(line.centres[k] < line.centres[within[0]] + ms_to_frames(closes_ms) for k in within)
    highs = accumulate(heights[loud:closes], max)
    dips = [
        k for k, high in enumerate(highs, start=loud) if heights[k] < min(full_db10 - DIP_DB10, high - DIPS_BY_DB10)
    ]
    if not dips or median(heights[loud : dips[0]]) > full_db10 + BURST_DB10:
        return None
    consonant = within[loud : dips[0]]
    if not _one_note(line, consonant, vowel) or not (_begins(line, within[0], consonant) or _stays(line, consonant)):
        return None
    last = len(heights) - 1
    return within[next((k for k in range(dips[-1], last) if heights[k] >= least), last)]


def _begins(line: PitchLine, first: int, consonant: range) -> bool:
    """Whether the level rises to the consonant, which is then not the note before."""
    before = line.levels[max(0, first - ms_to_frames(BEGINS_MS) // line.hop_frames)]
    return before < max(line.levels[k] for k in consonant) - BEGINS_DB10


def _stays(line: PitchLine, consonant: range) -> bool:
    """Whether the level stays anywhere in it; what does nothing but fall is the note before, and no consonant."""
    hops = max(1, ms_to_frames(STAYS_MS) // line.hop_frames)
    return any(
        line.levels[k + hops] > line.levels[k] - FALLS_DB10 for k in range(consonant[0], consonant[-1] + 2 - hops)
    )


def _one_note(line: PitchLine, consonant: range, vowel: range) -> bool:
    """Whether both have one pitch."""
    first, second = (median([line.pitches[k] for k in stretch]) for stretch in (consonant, vowel))
    return abs(first - second) <= SAME_NOTE_C100


def behind_step(line: PitchLine, start_frame: int) -> int | None:
    """Where the vowel comes up for good behind a consonant that begins at *start_frame*, None where nothing does.

    Of the tone and not of all the sound, which noise makes even; so the vowel must stand clear of the noise.
    """
    vowel = _vowel_of(line, start_frame)
    if not vowel or median([line.confidences[k] for k in vowel]) < CLEAR_VOWEL:
        return None
    rise, stays = (max(1, ms_to_frames(ms) // line.hop_frames) for ms in (RISE_MS, STAYS_UP_MS))
    first, end = line.window(start_frame + ms_to_frames(SHORTEST_MS), start_frame + ms_to_frames(LONGEST_MS) + 1)
    end = min(end, len(line) - rise - stays)
    tones = {k: line.tone_db10(k) for k in range(first, end + rise + stays)}
    rises = {k: min(tones[up] for up in range(k + rise, k + rise + stays + 1)) - tones[k] for k in range(first, end)}
    foot = max(rises, key=lambda k: rises[k], default=None)
    if foot is None or rises[foot] < RISES_DB10 or _slides(line, start_frame, line.centres[foot]):
        return None
    loudest = max(line.tone_db10(k) for k in range(*line.window(start_frame, line.centres[foot] + 1)))
    burst = loudest > median([line.tone_db10(k) for k in vowel]) + BURST_DB10
    return None if burst else line.centres[foot] + ms_to_frames(EDGE_MS)


def _slides(line: PitchLine, start_frame: int, foot_frame: int) -> bool:
    """Whether the pitch moves one way from the beginning over the foot to what is up."""
    edges = (start_frame + ms_to_frames(10), foot_frame - ms_to_frames(10), foot_frame + ms_to_frames(20))
    lengths = (ms_to_frames(10), ms_to_frames(10), ms_to_frames(20))
    places = [line.window(edge, edge + length + 1) for edge, length in zip(edges, lengths, strict=True)]
    if any(first == end for first, end in places):
        return False
    first, foot, up = (median(line.pitches[slice(*place)]) for place in places)
    return abs(up - first) >= SLIDES_C100 and (first < foot < up or first > foot > up)
