"""A piece moved for a section: whether its line lies within the compass, and by how little it would."""

from __future__ import annotations

from trainer.score.change import transpose
from trainer.score.model import Score
from trainer.score.pitch import STEPS, Pitch, line_of_fifths
from trainer.singable.compass import Compass

FARTHEST_SEMITONES = 7
ALLOWED_OUTSIDE = 1
"""A semitone over the usual limit is nobody's trouble in a section (our own)."""

_HOME = Pitch("C", 0, 4)


def semitones_to_fit(score: Score, line_index: int, compass: Compass) -> int | None:
    """By how many semitones the piece has to be moved, up above 0; 0 where the line fits, None where nothing near does."""
    midis = [note.pitch.midi for note in score.lines[line_index].notes]
    ways = sorted(range(-FARTHEST_SEMITONES, FARTHEST_SEMITONES + 1), key=lambda way: (abs(way), way))
    for way in ways:
        outside = max(compass.lowest - min(midis) - way, max(midis) + way - compass.highest)
        if outside <= (ALLOWED_OUTSIDE if way == 0 else 0):
            return way
    return None


def moved_by(score: Score, semitones: int) -> Score:
    """*score* so many semitones higher, spelled with the fewest signs. Raises ValueError where it cannot be spelled."""
    now = score.keys[0][1].fifths if score.keys else 0
    ways = []
    for octave in (2, 3, 4, 5, 6):
        for step in STEPS:
            for alter in (-1, 0, 1):
                there = Pitch(step, alter, octave)
                if there.midi - _HOME.midi == semitones:
                    ways.append((abs(now + line_of_fifths(there)), alter != 0, there))
    _, _, there = min(ways, key=lambda way: way[:2])
    return transpose(score, _HOME.interval_to(there))
