"""Beats that somebody overruled, told beside what the program says and never in its place."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from trainer.log.outcome import Overruling
from trainer.practice.take import BeatVerdict, Performance
from trainer.reports.wording import bar_words, beat_words


def beat_of(performance: Performance, position: int, bar: int, beat: Fraction) -> BeatVerdict | None:
    """The beat that stands at a place of one line; None where the take has none."""
    beats = performance.takes[position].beats
    return next((one for one in beats if one.bar == bar and one.beat <= beat < one.beat + 1), None)


def latest(told: Sequence[Overruling]) -> list[Overruling]:
    """The last word on every beat, in the order of the beats."""
    last = {(one.position, one.bar, Fraction(one.beat)): one for one in told}
    return [one for _, one in sorted(last.items())]


def overruled_as_text(performance: Performance, told: Sequence[Overruling]) -> list[str]:
    """One sentence a beat: somebody's sign and reason, and the program's sign."""
    lines = []
    for one in latest(told):
        beat = beat_of(performance, one.position, one.bar, Fraction(one.beat))
        if beat is None:
            continue
        voice = f"{performance.takes[one.position].voice}, " if len(performance.takes) > 1 else ""
        lines.append(
            f"{voice}{bar_words(beat)} beat {beat_words(beat.beat)}: {one.sign}, since {one.reason} (heldline says {beat.sign.value})"
        )
    return lines


def overruled_to_json(performance: Performance, position: int, told: Sequence[Overruling]) -> list[dict[str, Any]]:
    """The same for programs, for one line."""
    rows = []
    for one in latest(told):
        if one.position != position:
            continue
        beat = beat_of(performance, position, one.bar, Fraction(one.beat))
        rows.append(
            {
                "bar": one.bar,
                "beat": float(Fraction(one.beat)),
                "sign": one.sign,
                "reason": one.reason,
                "made_utc": one.made_utc,
                "judged": None if beat is None else beat.sign.value,
            }
        )
    return rows
