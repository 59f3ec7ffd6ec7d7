"""The voices of a score as tones, at the very frequencies by which a singer is judged against them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from audio.curve import PitchStep
from audio.render import Tone, voice_gain_db
from audio.units import c100_to_hz
from trainer.practice.reference import References
from trainer.score.model import Score
from trainer.score.time import TempoMap

FrameAt = Callable[[Fraction], int]
"""Frame of a place in quarters, at the rate of the sound."""


@dataclass(frozen=True, slots=True)
class Balance:
    """How one line stands among the others: decibels against its usual level, and -1 left to 1 right."""

    gain_db: float = 0.0
    pan: float = 0.0


def frame_at(tempo: TempoMap, *, rate_hz: int, zero_frame: int = 0) -> FrameAt:
    """Places to frames under a tempo map, ``zero_frame`` being where the score starts; exact, rounded once."""

    def at(quarters: Fraction) -> int:
        return zero_frame + round(tempo.seconds(quarters) * rate_hz)

    return at


def instrument_of(score: Score, line_index: int) -> str:
    """Key of the instrument that sounds a line: its trade name's, or by its place from the top in any other score."""
    name = score.voice_names()[line_index]
    usual = ("soprano", "alto", "tenor", "bass")
    if name in usual:
        return name
    if len(score.lines) == 1:
        return "alto"
    return usual[line_index * 3 // (len(score.lines) - 1)]


def tones(
    score: Score,
    references: References,
    at: FrameAt,
    *,
    which: tuple[int, ...],
    balance: Mapping[int, Balance] | None = None,
) -> list[Tone]:
    """Every note of the chosen lines, line after line.

    Parameters
    ----------
    score : Score
    references : References
        What each note sounds, as ``trainer.practice.reference.references`` gives for the whole score.
    at : callable
        Frame of a place in quarters.
    which : tuple of int
        Line indexes; the order does not matter. A tone's ``channel`` is its line's index.
    balance : mapping from line index to Balance, or None
        Lines not named stand in the middle at their usual level.
    """
    # the level belongs to the score, not to the choice, so a voice keeps its loudness when another falls silent
    usual_db = voice_gain_db(len(score.lines))
    found = []
    for index in sorted(set(which)):
        balanced = (balance or {}).get(index, Balance())
        for note, steps in zip(score.lines[index].notes, references[index], strict=True):
            start, end = at(note.onset_quarters), at(note.end_quarters)
            if end <= start:  # shorter than a frame: nothing can be heard of it
                continue
            pitched: dict[int, float] = {}
            for step in steps:
                pitched[max(0, at(step.from_quarters) - start)] = c100_to_hz(step.pitch_c100)
            found.append(
                Tone(
                    start,
                    end - start,
                    tuple(PitchStep(frame, f0_hz) for frame, f0_hz in pitched.items()),
                    instrument_of(score, index),
                    channel=index,
                    gain_db=usual_db + balanced.gain_db,
                    pan=balanced.pan,
                )
            )
    return found
