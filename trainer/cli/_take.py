"""What sing and key have in common: an attempt is judged, kept and shown."""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Sequence

from audio.heard import Heard
from trainer.practice.settings import Settings
from trainer.practice.take import Performance
from trainer.reports.as_json import as_text, group_to_json, to_json
from trainer.score.model import Score
from trainer.takes.judging import judge

NOTHING_HEARD = 5


def show_attempt(
    args: argparse.Namespace,
    score: Score,
    lines: Sequence[int],
    heard: Iterable[Heard],
    *,
    settings: Settings,
    source: str,
    recordings: Sequence[str] = (),
) -> int:
    """Judge what was heard, keep it, print it; the exit status."""
    performance = judge(score, lines, heard, settings=settings)
    return show(args, performance)


def show(args: argparse.Namespace, performance: Performance) -> int:
    """Print a performance as asked for; 5 when no line of it was heard."""
    if args.json:
        table = group_to_json(performance) if getattr(args, "lines", None) else to_json(performance.takes[0])
        print(as_text(table))
    else:
        for take in performance.takes:
            print(as_text(to_json(take)))
    return NOTHING_HEARD if all(take.status == "nothing heard" for take in performance.takes) else 0
