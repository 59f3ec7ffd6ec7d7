"""The singer's own tempo in words: the middle tempo, and the bars that stand clearly apart from it."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.practice.take import Take, TempoPoint
from trainer.score.time import bars_named

APART = 0.12
"""Share by which a bar's tempo must differ to be told: listeners notice about a tenth (common practice, no source)."""


def middle_tempo(points: Sequence[TempoPoint]) -> float:
    """Quarters a minute of the middle bar."""
    tempos = sorted(point.quarters_per_minute for point in points)
    return tempos[len(tempos) // 2]


def tempo_words(take: Take) -> str:
    """One line for the report; empty without a tempo line."""
    points, printed = take.tempo_line, {beat.bar: beat.printed_bar for beat in take.beats}
    if not points:
        return ""
    middle = middle_tempo(points)
    told = [f"about {middle:.0f} quarters a minute"]
    for word, apart in (
        ("faster", [p for p in points if p.quarters_per_minute > middle * (1 + APART)]),
        ("slower", [p for p in points if p.quarters_per_minute < middle * (1 - APART)]),
    ):
        if not apart:
            continue
        furthest = max(apart, key=lambda p: abs(p.quarters_per_minute - middle))
        where = bars_named((p.bar for p in apart), printed)
        bar = bars_named((furthest.bar,), printed)
        most = f", at most {furthest.quarters_per_minute:.0f} in {bar}" if len(apart) > 1 else ""
        figure = f" ({furthest.quarters_per_minute:.0f})" if len(apart) == 1 else ""
        told.append(f"{word} in {where}{figure}{most}")
    return "; ".join(told)
