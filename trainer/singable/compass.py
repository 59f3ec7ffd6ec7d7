"""How far each voice goes, where it is at ease, and where it changes register.

The limits are those that part-writing handouts of music schools agree on (soprano C4 to G5, alto G3 to C5, tenor C3 to G4, bass E2 to
C4). *At ease* is where the four voices of 365 chorales lie for nine tenths of their time, from the 5th to the 95th percentile by
duration (counted by ``tests/bench/singable/count.py`` from the music21 package). The breaks are the zones around which teachers of
singing place the change of register of each kind of voice (after Miller, The Structure of Singing, 1986, from memory; they differ
from singer to singer by a tone and more).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from trainer.rules.texture import Tone
from trainer.score.model import Score
from trainer.score.pitch import Pitch

EASE_INSIDE_SEMITONES = 2
"""A singer's own compass is easy but for a tone at each end (our own)."""


@dataclass(frozen=True, slots=True)
class Compass:
    """What one voice can sing, in MIDI numbers.

    Parameters
    ----------
    voice : str
        "soprano", "alto", "tenor" or "bass", the row of counted practice that its line is measured by.
    lowest, highest : int
        The outermost notes.
    ease_from, ease_to : int
        Where it is comfortable.
    break_from, break_to : int
        Where the register changes.
    """

    voice: str
    lowest: int
    highest: int
    ease_from: int
    ease_to: int
    break_from: int
    break_to: int

    def __post_init__(self) -> None:
        """A compass goes upwards."""
        if not self.lowest <= self.ease_from <= self.ease_to <= self.highest:
            raise ValueError(f"{self.lowest} to {self.highest} is no compass")


def _row(voice: str, *names: str) -> Compass:
    return Compass(voice, *(Pitch.parse(name).midi for name in names))


COMPASSES = {
    "soprano": _row("soprano", "C4", "G5", "E4", "E5", "E5", "F#5"),
    "alto": _row("alto", "G3", "C5", "B3", "Bb4", "F4", "G4"),
    "tenor": _row("tenor", "C3", "G4", "F#3", "F4", "D4", "F#4"),
    "bass": _row("bass", "E2", "C4", "G2", "Bb3", "A3", "C#4"),
}


def compass_of(score: Score, line_index: int, line: Sequence[Tone]) -> Compass:
    """The usual compass for a line: that of the voice it is named after if it lies there for half its time, else the nearest voice's.

    Two lines are called soprano and bass whatever they sing, so that a name alone says nothing.
    """
    named = COMPASSES.get(score.lines[line_index].name.lower()) or COMPASSES.get(
        score.voice_names()[line_index].lower()
    )
    if not line:
        return named or COMPASSES["alto"]
    whole = sum(tone.length for tone in line)
    if named is not None and 2 * _inside(named, line) >= whole:
        return named
    if named is not None and len(score.lines) == 4:
        return named
    return max(
        COMPASSES.values(), key=lambda one: (_inside(one, line), -abs(_middle(line) - one.ease_from - one.ease_to))
    )


def own_compass(usual: Compass, lowest: Pitch, highest: Pitch) -> Compass:
    """A singer's own limits of today on the voice *usual*. Raises ValueError when they leave nothing between."""
    low, high = lowest.midi, highest.midi
    inside = min(EASE_INSIDE_SEMITONES, max(0, high - low) // 2)
    return Compass(usual.voice, low, high, low + inside, high - inside, usual.break_from, usual.break_to)


def _inside(compass: Compass, line: Sequence[Tone]) -> int:
    return sum(tone.length for tone in line if compass.lowest <= tone.midi <= compass.highest)


def _middle(line: Sequence[Tone]) -> int:
    """Twice the mean pitch by duration, whole."""
    return 2 * sum(tone.midi * tone.length for tone in line) // sum(tone.length for tone in line)
