"""A drone for one line: the final of the mode, below the line, from the first note to the last."""

from __future__ import annotations

from fractions import Fraction

from audio.curve import PitchStep
from audio.render import Tone, voice_gain_db
from audio.units import SEMITONE_C100, c100_to_hz
from trainer.score.model import Score
from trainer.score.modes import split_mode
from trainer.score.pitch import Pitch
from trainer.voices.tones import FrameAt

INSTRUMENT = "tuning"


def drone_tones(score: Score, line_index: int, at: FrameAt, *, a4_offset_c100: int) -> list[Tone]:
    """One tone; nothing for a line without notes."""
    notes = score.lines[line_index].notes
    start, end = at(Fraction(0)), at(score.end_quarters)
    if not notes or end <= start:
        return []
    midi = drone_midi(score, line_index)
    step = PitchStep(0, c100_to_hz(midi * SEMITONE_C100 + a4_offset_c100))
    return [Tone(start, end - start, (step,), INSTRUMENT, gain_db=voice_gain_db(2))]


def drone_midi(score: Score, line_index: int) -> int:
    """The final nearest below the line's lowest note, or that note; the lowest line's last note where no mode is said."""
    lowest = min(note.pitch.midi for note in score.lines[line_index].notes)
    final = _final(score)
    return lowest - (lowest - final) % 12


def _final(score: Score) -> int:
    try:
        return Pitch.parse(f"{split_mode(score.fact('mode'))[0]}4").midi
    except ValueError:
        last = [line.notes[-1] for line in score.lines if line.notes]
        return last[-1].pitch.midi
