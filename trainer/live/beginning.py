"""What is given before the music of a take: the key chord, the own first note, counted bars. Pure; seconds from the beginning."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.score.model import Score
from trainer.score.time import TempoMap
from trainer.voices.lead_in import CHORD_SECONDS, FIRST_NOTE_SECONDS, PAUSE_SECONDS, counted_beats

ENTER_WITHIN_SECONDS = Fraction(9, 2)
"""The own entry comes so soon after the end of the first note at the latest. A start chord that holds the note helps singers who enter
within 5 s of it; longer waits worsen it (Estis et al. 2009, 2011, from memory)."""


@dataclass(frozen=True, slots=True)
class Beginning:
    """When each begins; None for a chord or a note that is not given."""

    chord_s: Fraction | None
    note_s: Fraction | None
    count_s: Fraction
    music_s: Fraction


def beginning(score: Score, line_index: int, tempo: TempoMap, count_in_bars: int, pitch: str) -> Beginning:
    """How a take begins.

    Parameters
    ----------
    score : Score
    line_index : int
        The own line.
    tempo : TempoMap
    count_in_bars : int
    pitch : str
        "chord" gives chord and first note before the counting, "note" and "chord alone" one of them, "none" neither.
    """
    at = Fraction(0)
    chord = note = None
    if pitch in ("chord", "chord alone"):
        chord, at = at, at + CHORD_SECONDS + PAUSE_SECONDS
    counted = counted_beats(score, count_in_bars)
    counting = -tempo.seconds(counted[0][0]) if counted else Fraction(0)
    own = score.lines[line_index].notes
    count = at
    if pitch in ("chord", "note") and own:
        entry = tempo.seconds(own[0].onset_quarters)
        if counting + entry + PAUSE_SECONDS <= ENTER_WITHIN_SECONDS or counting < FIRST_NOTE_SECONDS:
            note, count = at, at + FIRST_NOTE_SECONDS + PAUSE_SECONDS
        else:  # a long count: the note is given inside it, so that the entry is not far away
            end = min(counting, counting + entry - ENTER_WITHIN_SECONDS)
            note = at + max(Fraction(0), end - FIRST_NOTE_SECONDS)
    return Beginning(chord, note, count, count + counting)
