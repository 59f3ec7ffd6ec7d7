"""Where the singer's line clashes with the bass: a note held over a bar's first beat into a dissonance.

Told from the score alone. Consonant with the lowest voice are unison, thirds, perfect fifth, sixths and octave, spelled (Fux 1725,
after Zarlino 1558); a note already sounding when the bar begins and not consonant there is a clash with three events: its
preparation before the beat, its holding on the beat, and the note that resolves it.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from trainer.practice.plan import Target
from trainer.practice.reference import PURE_C100
from trainer.score.model import Score, sounding
from trainer.score.pitch import Pitch
from trainer.score.time import Bars


@dataclass(frozen=True, slots=True)
class Clash:
    """One clash in the singer's line.

    Parameters
    ----------
    target, resolution : int
        Indexes into the line's targets; ``resolution`` is the note that follows.
    at_quarters : Fraction
        The strong beat.
    figure : str
        As figured over the bass, such as 7-6; 2-3 when the singer has the bass.
    """

    target: int
    resolution: int
    at_quarters: Fraction
    figure: str


def clashes(score: Score, bars: Bars, line_index: int, targets: tuple[Target, ...]) -> list[Clash]:
    """Every clash of the line, in time order."""
    found = []
    for target in targets:
        following = target.index + 1
        resolution = targets[following].pitch if following < len(targets) else None
        if target.pitch is None or resolution is None:
            continue
        for bar in bars.bars:
            at = bar.onset_quarters
            if target.onset_quarters < at < target.end_quarters:
                figure = _figure(score, line_index, at, resolution, target.end_quarters)
                if figure:
                    found.append(Clash(target.index, following, at, figure))
    return found


def _figure(score: Score, line_index: int, at: Fraction, resolution: Pitch, resolved_at: Fraction) -> str:
    """Figures of dissonance and resolution at *at*, "" when the note is consonant there."""
    here = {index: note.pitch for index, note in sounding(score, at)}
    own = here.pop(line_index)
    if not here:
        return ""
    later = {index: note.pitch for index, note in sounding(score, resolved_at)}
    lowest = min(here.values(), key=lambda pitch: pitch.midi)
    if lowest.midi <= own.midi:
        if _consonant(lowest, own):
            return ""
        bass = min(
            (p for index, p in later.items() if index != line_index), key=lambda pitch: pitch.midi, default=lowest
        )
        return f"{_number(lowest, own)}-{_number(bass, resolution)}"
    rubbing = [pitch for pitch in here.values() if not _consonant(own, pitch)]
    if not rubbing:
        return ""
    against = min(rubbing, key=lambda pitch: pitch.midi)
    return f"{_simple(own, against)}-{_simple(resolution, against)}"


def _consonant(low: Pitch, high: Pitch) -> bool:
    return low.interval_to(high).simple in PURE_C100


def _number(low: Pitch, high: Pitch) -> int:
    """The figure of an interval over the bass: a second that lies an octave higher is a 9."""
    return 9 if high.diatonic - low.diatonic in (8, 15, 22) else _simple(low, high)


def _simple(low: Pitch, high: Pitch) -> int:
    """The size of an interval within the octave, 8 for the octave itself; a bass that is tied is figured so."""
    steps = abs(high.diatonic - low.diatonic)
    return 8 if steps and steps % 7 == 0 else steps % 7 + 1
