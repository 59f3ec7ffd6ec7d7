"""The pitch that each note is measured by, and that our voices sound: equal or pure, in hundredths of a cent.

Pure: the lowest sounding voice stays on the equal grid; a unison, third, fifth, sixth or octave above it is set at
1/1, 6/5, 5/4, 3/2, 8/5, 5/3 or 2/1 (octaves added); everything else is equal. The bass moving under a held note moves the
note's reference with it, so a reference is a row of steps. Pinning the bass to the grid keeps the comma from sinking the piece.

Sources: the ratios are Zarlino's (1558) senario, as in any acoustics handbook; their sizes in cents are arithmetic.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from audio.units import OCTAVE_C100, SEMITONE_C100
from trainer.score.model import Line, Note, Score
from trainer.score.pitch import Interval, Pitch

PURE_C100 = {
    Interval(0, 0): 0,  # 1/1 and 2/1
    Interval(2, 3): 31_564,  # 6/5
    Interval(2, 4): 38_631,  # 5/4
    Interval(4, 7): 70_196,  # 3/2
    Interval(5, 8): 81_369,  # 8/5
    Interval(5, 9): 88_436,  # 5/3
}


@dataclass(frozen=True, slots=True)
class Step:
    """From ``from_quarters`` up to ``to_quarters`` the note is at ``pitch_c100`` (A4's setting included)."""

    from_quarters: Fraction
    to_quarters: Fraction
    pitch_c100: int


References = tuple[tuple[tuple[Step, ...], ...], ...]
"""By line, then by note, the steps of that note in time order."""


def equal_c100(pitch: Pitch, a4_offset_c100: int = 0) -> int:
    """Equal temperament: hundredths of a cent above C-1."""
    return pitch.midi * SEMITONE_C100 + a4_offset_c100


def references(score: Score, *, against: str = "equal", a4_offset_c100: int = 0) -> References:
    """Reference steps of every note of every line.

    Parameters
    ----------
    score : Score
    against : str
        "equal" or "pure".
    a4_offset_c100 : int
        How far A4 lies above 440 Hz.
    """
    if against == "equal":
        return tuple(
            tuple((Step(n.onset_quarters, n.end_quarters, equal_c100(n.pitch, a4_offset_c100)),) for n in line.notes)
            for line in score.lines
        )
    changes = sorted({at for line in score.lines for n in line.notes for at in (n.onset_quarters, n.end_quarters)})
    lowest = _lowest_by_slice(score.lines, changes)
    return tuple(
        tuple(_pure_steps(note, changes, lowest, a4_offset_c100) for note in line.notes) for line in score.lines
    )


def _lowest_by_slice(lines: tuple[Line, ...], changes: list[Fraction]) -> dict[Fraction, Pitch]:
    """Lowest sounding pitch from each change to the next, in one pass along each line."""
    lowest: dict[Fraction, Pitch] = {}
    for line in lines:
        index = 0
        for at in changes:
            while index < len(line.notes) and line.notes[index].end_quarters <= at:
                index += 1
            if index == len(line.notes) or line.notes[index].onset_quarters > at:
                continue
            pitch = line.notes[index].pitch
            if at not in lowest or pitch.midi < lowest[at].midi:
                lowest[at] = pitch
    return lowest


def _pure_steps(
    note: Note, changes: list[Fraction], lowest: dict[Fraction, Pitch], a4_offset_c100: int
) -> tuple[Step, ...]:
    cuts = [at for at in changes if note.onset_quarters <= at < note.end_quarters]
    steps: list[Step] = []
    for at, end in zip(cuts, [*cuts[1:], note.end_quarters], strict=True):
        pitch_c100 = _above(lowest[at], note.pitch) + a4_offset_c100
        if steps and steps[-1].pitch_c100 == pitch_c100:
            steps[-1] = Step(steps[-1].from_quarters, end, pitch_c100)
        else:
            steps.append(Step(at, end, pitch_c100))
    return tuple(steps)


def _above(bass: Pitch, pitch: Pitch) -> int:
    interval = bass.interval_to(pitch)
    pure = PURE_C100.get(interval.simple)
    if pure is None:
        return equal_c100(pitch)
    octaves = (interval.semitones - interval.simple.semitones) // 12
    return equal_c100(bass) + pure + octaves * OCTAVE_C100
