"""Names for what was sung, spelled as this score would spell them."""

from __future__ import annotations

from collections import Counter

from audio.units import SEMITONE_C100
from trainer.score.model import Score
from trainer.score.pitch import Pitch, line_of_fifths, spelled_midi


class Naming:
    """From a sounding pitch to a scientific name.

    A pitch class that the score writes is spelled the way the score writes it most often; any other as its key has it.

    Parameters
    ----------
    score : Score
    a4_offset_c100 : int
    """

    def __init__(self, score: Score, a4_offset_c100: int) -> None:
        counted = Counter((n.pitch.step, n.pitch.alter, n.pitch.midi % 12) for line in score.lines for n in line.notes)
        self._written: dict[int, tuple[str, int]] = {}
        for (step, alter, pitch_class), _ in sorted(counted.items(), key=lambda item: (-item[1], item[0])):
            self._written.setdefault(pitch_class, (step, alter))
        fifths = score.keys[0][1].fifths if score.keys else _middle_fifths(score)
        # beyond three a slip would be named B# or Cb, which no singer thinks of unless the copy says so
        self._fifths = max(-3, min(3, fifths))
        self._a4_offset_c100 = a4_offset_c100

    def name(self, pitch_c100: int) -> str:
        """Scientific name of the nearest semitone."""
        midi = (pitch_c100 - self._a4_offset_c100 + SEMITONE_C100 // 2) // SEMITONE_C100
        if midi % 12 in self._written:
            step, alter = self._written[midi % 12]
            zero = Pitch(step, alter, 0)
            return str(Pitch(step, alter, (midi - zero.midi) // 12))
        return str(spelled_midi(midi, fifths=self._fifths))


def _middle_fifths(score: Score) -> int:
    """The signature that the notes themselves suggest: their middle on the line of fifths lies two above a major tonic."""
    places = sorted(line_of_fifths(n.pitch) for line in score.lines for n in line.notes)
    return places[len(places) // 2] - 2 if places else 0
