"""A score as ABC text, by the tests alone: every note with its sign, so that no reader needs to know how far signs hold."""

from __future__ import annotations

from fractions import Fraction

from trainer.score.model import Line, Note, Score
from trainer.score.time import Bar

SIGNS = {-2: "__", -1: "_", 0: "=", 1: "^", 2: "^^"}


def abc_of(score: Score) -> str:
    """The text, a voice a line, its unit a quarter."""
    head = f"X:1\nT:{score.title}\nM:{score.meters[0][1]}\nL:1/4\nQ:1/4={score.tempo.points[0][1]}\nK:C\n"
    return head + "".join(
        f'V:{number} name="{line.name}"\n{_music(line, score)}\n' for number, line in enumerate(score.lines, 1)
    )


def _music(line: Line, score: Score) -> str:
    return "|".join(_bar(line, bar) for bar in score.bars().bars) + "|]"


def _bar(line: Line, bar: Bar) -> str:
    start, end = bar.onset_quarters, bar.onset_quarters + bar.length_quarters
    words, at = [], start
    for note in line.notes:
        if note.end_quarters <= start or note.onset_quarters >= end:
            continue
        onset, stop = max(note.onset_quarters, start), min(note.end_quarters, end)
        if onset > at:
            words.append(f"z{onset - at}")
        words.append(f"{_letter(note)}{Fraction(stop - onset)}{'-' if note.end_quarters > end else ''}")
        at = stop
    if at < end:
        words.append(f"z{end - at}")
    return " ".join(words)


def _letter(note: Note) -> str:
    pitch = note.pitch
    name = pitch.step.lower() + "'" * (pitch.octave - 5) if pitch.octave > 4 else pitch.step + "," * (4 - pitch.octave)
    return SIGNS[pitch.alter] + name
