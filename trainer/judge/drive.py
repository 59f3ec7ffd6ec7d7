"""The heart of the program: what is heard goes in, verdicts come out.

Live, a recording, a MIDI file and a test differ only in who makes *heard*.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from audio.heard import Heard
from trainer.judge.engine import Engine
from trainer.judge.remarks import RECORDING, Advice
from trainer.practice.event import BeatOver
from trainer.practice.plan import Plan
from trainer.practice.take import Performance
from trainer.practice.timemap import TimeMap


def drive(
    plan: Plan,
    heard: Iterable[Heard],
    *,
    time: TimeMap,
    listen: Callable[[BeatOver], None] | None = None,
    advice: Advice = RECORDING,
) -> Performance:
    """Judge one attempt. Pure but for *listen*: the same records give the same performance.

    Parameters
    ----------
    plan : Plan
    heard : iterable of Heard
        In time order; of several lines, in any order within a hop.
    time : TimeMap
        Where music time starts; anchors that arrive in *heard* are added to a copy.
    listen : callable
        Told of each beat when it is over.
    advice : Advice
        What is said behind a take that could not be judged well.
    """
    engine = Engine(plan, time, advice)
    for record in heard:
        if engine.finished(record):
            break
        engine.hear(record)
        if listen is not None:
            for event in engine.beats_over():
                listen(event)
    if listen is not None:
        for event in engine.last_beats():
            listen(event)
    return engine.close()
