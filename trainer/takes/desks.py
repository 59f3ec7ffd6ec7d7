"""Recordings of a section's singers, one after another, judged by the same code as any take."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from os import PathLike

from audio.heard import Heard
from trainer.judge.section import HEARD, Desk, held_share
from trainer.practice.settings import Settings
from trainer.practice.take import Take
from trainer.score.model import Score
from trainer.takes.judging import judge
from trainer.takes.recording import frame_of, heard_in, sound_in
from trainer.takes.two_voices import bars_of, two_voices_in

OWN_AT_MOST, OTHER_AT_LEAST = 0.3, 0.7
"""Another voice's line was sung if less than the one share of the own line was held and at least the other share of that one."""


def desk_of(score: Score, line_index: int, label: str, path: str | PathLike[str], *, settings: Settings) -> Desk:
    """One singer's recording judged, told apart from somebody who sang another voice's line; not judged where two sing at once.

    Raises
    ------
    SoundFileError
        When the recording cannot be read.
    """
    heard: list[Heard] = list(heard_in(path))
    heard = sorted([*heard, *two_voices_in(score, line_index, sound_in(path), heard, settings=settings)], key=frame_of)

    def judged(line: int) -> Take:
        return judge(score, (line,), heard, settings=settings).takes[0]

    desk = told_apart(score, line_index, label, judged(line_index), judged)
    return replace(desk, two_voices=bars_of(desk.take.health.gaps, score, settings))


def told_apart(score: Score, line_index: int, label: str, take: Take, judged: Callable[[int], Take]) -> Desk:
    """A desk's take, and the voice whose line it was where the own one was hardly held; *judged* judges it as another line."""
    if take.status != HEARD or held_share(take.beats) > OWN_AT_MOST:
        return Desk(label, take)
    shares = {
        line: held_share(judged(line).beats)
        for line in range(len(score.lines))
        if line != line_index and score.lines[line].notes
    }
    best = max(shares, key=lambda line: (shares[line], -line), default=None)
    if best is None or shares[best] < OTHER_AT_LEAST:
        return Desk(label, take)
    return Desk(label, take, score.voice_names()[best])
