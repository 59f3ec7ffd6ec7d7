"""Recordings of a section's singers, one after another, judged by the same code as any take."""

from __future__ import annotations

from collections.abc import Sequence
from os import PathLike

from audio.heard import Heard
from trainer.judge.section import HEARD, Desk, held_share
from trainer.practice.settings import Settings
from trainer.practice.take import Take
from trainer.score.model import Score
from trainer.takes.judging import judge
from trainer.takes.recording import heard_in

OWN_AT_MOST, OTHER_AT_LEAST = 0.3, 0.7
"""Another voice's line was sung if less than the one share of the own line was held and at least the other share of that one."""


def desk_of(score: Score, line_index: int, label: str, path: str | PathLike[str], *, settings: Settings) -> Desk:
    """One singer's recording judged, and told apart from somebody who sang another voice's line.

    Raises
    ------
    SoundFileError
        When the recording cannot be read.
    """
    heard = list(heard_in(path))
    take = _take(score, line_index, heard, settings)
    if take.status != HEARD or held_share(take.beats) > OWN_AT_MOST:
        return Desk(label, take)
    shares = {
        line: held_share(_take(score, line, heard, settings).beats)
        for line in range(len(score.lines))
        if line != line_index and score.lines[line].notes
    }
    best = max(shares, key=lambda line: (shares[line], -line), default=None)
    if best is None or shares[best] < OTHER_AT_LEAST:
        return Desk(label, take)
    return Desk(label, take, score.voice_names()[best])


def _take(score: Score, line_index: int, heard: Sequence[Heard], settings: Settings) -> Take:
    return judge(score, (line_index,), heard, settings=settings).takes[0]
