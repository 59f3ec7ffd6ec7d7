"""A take with its notes called as the reader calls them. Only for people: JSON, the log and the judge keep scientific names."""

from __future__ import annotations

from dataclasses import replace

from trainer.practice.take import BeatVerdict, Performance, Take
from trainer.score.naming import Names, lettered
from trainer.score.pitch import Pitch


def performance_called(performance: Performance, names: Names) -> Performance:
    """Every take of it."""
    return replace(performance, takes=tuple(take_called(take, names) for take in performance.takes))


def take_called(take: Take, names: Names) -> Take:
    """The same take, its notes under the letters of *names*; degrees and syllables have no place in a report of wrong notes."""
    if names.kind != "german":
        return take
    return replace(
        take,
        notes=tuple(replace(one, expected=_said(one.expected), sung=_said(one.sung)) for one in take.notes),
        beats=tuple(beat_called(one, names) for one in take.beats),
        extra=tuple(replace(one, sung=_said(one.sung) or one.sung) for one in take.extra),
    )


def beat_called(beat: BeatVerdict, names: Names) -> BeatVerdict:
    """The same of one beat."""
    if names.kind != "german":
        return beat
    return replace(beat, expected=_said(beat.expected), sung=_said(beat.sung))


def _said(name: str | None) -> str | None:
    return None if name is None else lettered(Pitch.parse(name), Names("german"))
