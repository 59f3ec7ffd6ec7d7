"""Mains hum, a refrigerator, an organ blower: a tone that nobody sings, told by its evenness and by when it is there.

A machine was there before the music began, and keeps its pitch within 15 cents and its level within 3 dB. It is taken out where it lies
15 dB or more below the singing, or where it is nearly all that is heard. A recording that begins with the music shows nothing before it;
there only a tone without a break from end to end, within 3 cents and 1 dB, is taken for a machine, while the line asks for several
notes. (Own choice of limits; a singer's flutter has an SD of 5 to 10 cents, and a singer who drones on one note breathes.)
"""

from __future__ import annotations

from collections import Counter

from trainer.judge.phonation import median
from trainer.judge.pitchline import PitchLine

WITHIN_C100 = 1_500
EVEN_DB10 = 30
VERY_EVEN_C100 = 300
VERY_EVEN_DB10 = 10
NEARLY_ALL = (7, 10)
LEAST_FRAMES = 50
UNDER_SINGER_DB10 = 150
LEAST_NOTES = 3
BEFORE_MUSIC_FRAMES = 2_400  # 100 ms: a singer may come in early


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
    first, begins = line.window(0, music_from_frame - BEFORE_MUSIC_FRAMES)
    before = [k for k in voiced if first <= k < begins]
    if begins - first >= LEAST_FRAMES:
        humming = _from_before(line, voiced, before) if len(before) * 10 >= (begins - first) * 8 else set()
    else:
        humming = _unbroken(line, voiced) if asked_pitches >= LEAST_NOTES else set()
    if not humming:
        return line
    return line.with_voiced([v and k not in humming for k, v in enumerate(line.voiced)])


def _from_before(line: PitchLine, voiced: list[int], before: list[int]) -> set[int]:
    """Frames of a tone that was there before the music."""
    tone = _even(line, before, WITHIN_C100, EVEN_DB10)
    if len(tone) * NEARLY_ALL[1] < len(before) * NEARLY_ALL[0]:
        return set()
    pitch, level = median([line.pitches[k] for k in tone]), median([line.levels[k] for k in tone])
    same = {
        k
        for k in voiced
        if abs(line.pitches[k] - pitch) <= WITHIN_C100 and abs(line.levels[k] - level) <= 2 * EVEN_DB10
    }
    # a singer who rests half of the time is measured by what is sung
    sung = [line.levels[k] for k in voiced if k not in same]
    faint = bool(sung) and level + UNDER_SINGER_DB10 <= median(sung)
    return same if faint or len(same) * NEARLY_ALL[1] >= len(voiced) * NEARLY_ALL[0] else set()


def _unbroken(line: PitchLine, voiced: list[int]) -> set[int]:
    """Frames of a tone that fills the whole recording without a break."""
    if len(voiced) * 100 < len(line) * 97 or len(voiced) < LEAST_FRAMES:
        return set()
    tone = _even(line, voiced, VERY_EVEN_C100, VERY_EVEN_DB10)
    return set(tone) if len(tone) * 100 >= len(voiced) * 95 else set()


def _even(line: PitchLine, indexes: list[int], within_c100: int, even_db10: int) -> list[int]:
    """Of these frames, those near the commonest pitch, if nearly all of them keep one level; else none."""
    bins = Counter(line.pitches[k] // within_c100 for k in indexes)
    commonest = min(bins, key=lambda b: (-bins[b], b))
    centre = median([line.pitches[k] for k in indexes if abs(line.pitches[k] // within_c100 - commonest) <= 1])
    near = [k for k in indexes if abs(line.pitches[k] - centre) <= within_c100]
    level = median([line.levels[k] for k in near])
    even = [k for k in near if abs(line.levels[k] - level) <= even_db10]
    return near if len(even) * 10 >= len(near) * 9 else []
