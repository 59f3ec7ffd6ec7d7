"""Mains hum, a refrigerator, an organ blower: a tone that nobody sings, told by its evenness.

A voice wanders by several cents and decibels within seconds. A tone that keeps its pitch within 15 cents and its level within 3 dB
through nearly all that is heard, while the line asks for several notes, is a machine; so is one that was there just so before the
music began and lies 15 dB or more below the singing. (Own choice of limits; a singer's flutter has an SD of 5 to 10 cents.)
"""

from __future__ import annotations

from collections import Counter

from trainer.judge.phonation import median
from trainer.judge.pitchline import PitchLine

BIN_C100 = 1_500
EVEN_DB10 = 30
NEARLY_ALL = (7, 10)
LEAST_FRAMES = 80
UNDER_SINGER_DB10 = 150
LEAST_NOTES = 3


def without_hum(line: PitchLine, *, music_from_frame: int, asked_pitches: int) -> PitchLine:
    """The line with a machine's tone made unvoiced; the line itself where there is none.

    Parameters
    ----------
    line : PitchLine
    music_from_frame : int
        Where the first note is due.
    asked_pitches : int
        How many different pitches the written line has.
    """
    voiced = [k for k in range(len(line)) if line.voiced[k]]
    if len(voiced) < LEAST_FRAMES:
        return line
    humming: set[int] = set()
    whole = _even(line, voiced)
    if asked_pitches >= LEAST_NOTES and len(whole) * NEARLY_ALL[1] >= len(voiced) * NEARLY_ALL[0]:
        humming.update(whole)
    before = [k for k in voiced if line.centres[k] < music_from_frame - 2_400]
    tone = _even(line, before) if len(before) >= LEAST_FRAMES else []
    if tone and len(tone) * NEARLY_ALL[1] >= len(before) * NEARLY_ALL[0]:
        pitch, level = median([line.pitches[k] for k in tone]), median([line.levels[k] for k in tone])
        if level + UNDER_SINGER_DB10 <= median(
            [line.levels[k] for k in voiced if line.centres[k] >= music_from_frame] or [level]
        ):
            humming.update(
                k
                for k in voiced
                if abs(line.pitches[k] - pitch) <= BIN_C100 and abs(line.levels[k] - level) <= 2 * EVEN_DB10
            )
    if not humming:
        return line
    return line.with_voiced([v and k not in humming for k, v in enumerate(line.voiced)])


def _even(line: PitchLine, indexes: list[int]) -> list[int]:
    """Of these frames, those within 15 cents of the commonest pitch, if nearly all of them keep one level; else none."""
    if not indexes:
        return []
    bins = Counter(line.pitches[k] // BIN_C100 for k in indexes)
    commonest = min(bins, key=lambda b: (-bins[b], b))
    centre = median([line.pitches[k] for k in indexes if abs(line.pitches[k] // BIN_C100 - commonest) <= 1])
    near = [k for k in indexes if abs(line.pitches[k] - centre) <= BIN_C100]
    level = median([line.levels[k] for k in near])
    even = [k for k in near if abs(line.levels[k] - level) <= EVEN_DB10]
    return near if len(even) * 10 >= len(near) * 9 else []
