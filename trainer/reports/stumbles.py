"""Where a line was stumbled over, in words and as JSON: how many takes say so, and whose compass they had."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from typing import Any

from trainer.plan.stumbles import LEAST_TAKES, Stumbled, StumbleMap
from trainer.reports.look import Look
from trainer.reports.wording import count_words
from trainer.score.naming import lettered
from trainer.score.pitch import spelled_midi
from trainer.score.time import bar_named, bars_named


def stumbles_to_json(found: StumbleMap) -> dict[str, Any]:
    """Every bar with its counts."""
    return {
        "takes": found.takes,
        "lowest": _name(found.lowest_midi, found.fifths),
        "highest": _name(found.highest_midi, found.fifths),
        "company_costs": None
        if found.costs is None
        else [{"bar": bar, "pulled_to": voice or None} for bar, voice in found.costs],
        "bars": [
            {
                "bar": bar.bar,
                "printed_bar": bar.printed,
                "takes": bar.takes,
                "failed": bar.failed,
                "hard": bar.hard,
                "causes": dict(bar.causes),
                "pulled_to": dict(bar.pulled_to),
                "before": None if bar.before is None else {"takes": bar.before[0], "failed": bar.before[1]},
            }
            for bar in found.bars
        ],
    }


def stumbles_as_text(found: StumbleMap, look: Look, *, indent: str = "") -> list[str]:
    """Lines: hard bars, what was rewritten, and from whose takes this is known."""
    if not found.takes:
        return []
    told = [f"{_bar(bar)} is hard for this line: {_of(bar)}{_why(bar)}." for bar in found.hardest]
    told += [
        f"{_bar(bar)} was rewritten: before, {_times(bar.before)}; now, {_times((bar.takes, bar.failed))}."
        for bar in found.bars
        if bar.before is not None
    ]
    if found.costs is not None:
        told.append(_costs(found.costs, found.bars))
    if found.takes < LEAST_TAKES:
        told.append(f"{count_words(found.takes, 'take')} so far; from {LEAST_TAKES} on the hard bars are told.")
    elif not found.hardest:
        told.append("no bar failed in most takes.")
    compass = ""
    if found.lowest_midi is not None and found.highest_midi is not None:
        ends = (spelled_midi(midi, fifths=found.fifths) for midi in (found.lowest_midi, found.highest_midi))
        compass = f", sung between {' and '.join(lettered(end, found.names) for end in ends)}"
    told.append(f"From {count_words(found.takes, 'take')}{compass}; what one voice finds hard another may not.")
    lines = []
    for sentence in told:
        lines += textwrap.wrap(
            f"{sentence[:1].upper()}{sentence[1:]}",
            look.width,
            initial_indent=indent,
            subsequent_indent=f"{indent}  ",
        )
    return lines


def _costs(costs: Sequence[tuple[int, str]], bars: Sequence[Stumbled]) -> str:
    if not costs:
        return "alone and against all the same bars are held."
    voices = sorted({voice for _, voice in costs if voice})
    to = f", to the {' and the '.join(voices)}" if voices else ""
    held = bars_named((bar for bar, _ in costs), {bar.bar: bar.printed for bar in bars})
    return f"alone you held {held}; company costs you {count_words(len(costs), 'bar')} of {len(bars)}{to}."


def _bar(bar: Stumbled) -> str:
    return bar_named(bar.bar, bar.printed)


def _of(bar: Stumbled) -> str:
    return f"{bar.failed} of {count_words(bar.takes, 'take')}"


def _times(counted: tuple[int, int] | None) -> str:
    takes, failed = counted or (0, 0)
    return f"failed in {failed} of {count_words(takes, 'take')}" if takes else "not sung yet"


def _why(bar: Stumbled) -> str:
    if bar.pulled_to:
        voice, count = bar.pulled_to[0]
        return f", pulled to {voice} in {count}"
    if bar.causes:
        cause, count = bar.causes[0]
        return f", {cause} in {count}"
    return ""


def _name(midi: int | None, fifths: int) -> str | None:
    return None if midi is None else str(spelled_midi(midi, fifths=fifths))
