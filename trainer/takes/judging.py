"""From what was heard to verdicts, for every kind of take. Pure; the store judges its old takes through the same function."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from audio.heard import Anchor, Heard
from trainer.judge.drive import drive
from trainer.judge.remarks import LIVE, RECORDING
from trainer.practice.event import BeatOver
from trainer.practice.plan import make_plan
from trainer.practice.settings import Settings
from trainer.practice.take import Performance
from trainer.practice.timemap import TimeMap, fixed_time
from trainer.score.model import Score
from trainer.takes.own_time import judge_in_own_time, judge_led


def judge(
    score: Score,
    lines: Sequence[int],
    heard: Iterable[Heard],
    *,
    settings: Settings,
    anchors: Sequence[Anchor] = (),
    sources: Sequence[str] = (),
    listen: Callable[[BeatOver], None] | None = None,
) -> Performance:
    """Verdicts of one attempt.

    Parameters
    ----------
    score : Score
    lines : sequence of int
        Which lines were sung; ``Heard.line`` counts in this order.
    heard : iterable of Heard
        In time order.
    settings : Settings
    anchors : sequence of Anchor
        Where music time lay in a live take; empty for a recording, where the settings say it.
    sources : sequence of str
        "sung" or "keyed" for each line; all sung where not said.
    listen : callable or None
        Told of each beat when it is over.
    """
    plan = make_plan(score, tuple(lines), settings, sources=tuple(sources))
    if settings.time == "free" and not anchors:
        return judge_in_own_time(plan, heard)
    time = (
        TimeMap(anchors)
        if anchors
        else fixed_time(plan.tempo, first_full_quarters=plan.bars.first_full_quarters, starts_at_s=settings.starts_at_s)
    )
    if settings.time == "free":
        return judge_led(plan, heard, time=time, listen=listen)
    return drive(plan, heard, time=time, listen=listen, advice=LIVE if anchors else RECORDING)
