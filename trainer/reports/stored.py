"""The list of kept takes, and takes judged anew, for programs and for people."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, Protocol

from audio.units import A4_HZ
from trainer.practice.settings import Settings

LIST_SCHEMA = "heldline.takes/1"
AGAIN_SCHEMA = "heldline.again/1"

Summaries = Sequence[dict[str, Any]]


class Listed(Protocol):
    """What a list shows of a take; the store's entries have it."""

    @property
    def number(self) -> int: ...  # noqa: D102
    @property
    def started_utc(self) -> str: ...  # noqa: D102
    @property
    def title(self) -> str: ...  # noqa: D102
    @property
    def source(self) -> str: ...  # noqa: D102
    @property
    def whole(self) -> bool: ...  # noqa: D102
    @property
    def removed_utc(self) -> str | None: ...  # noqa: D102
    @property
    def summaries(self) -> Summaries: ...  # noqa: D102


@dataclass(frozen=True, slots=True)
class Again:
    """One take judged anew: what it came to under its own settings, and under *settings*."""

    number: int
    title: str
    settings: Settings
    before: Summaries
    after: Summaries


def list_to_json(entries: Sequence[Listed]) -> dict[str, Any]:
    """Every kept take, the latest last; those in the bin are marked ``removed``."""
    return {
        "schema": LIST_SCHEMA,
        "takes": [
            {
                "number": one.number,
                "started_utc": one.started_utc,
                "title": one.title,
                "source": one.source,
                "whole": one.whole,
                "removed": one.removed_utc is not None,
                "lines": list(one.summaries),
            }
            for one in entries
        ],
    }


def list_as_text(entries: Sequence[Listed]) -> str:
    """One line a sung line, the latest last; local time."""
    lines = []
    for one in entries:
        if one.removed_utc is not None:
            continue
        when = datetime.fromisoformat(one.started_utc).replace(tzinfo=UTC).astimezone()
        head = f"{one.number:>4}  {when:%Y-%m-%d %H:%M}  "
        for line in one.summaries or ({"voice": one.source},):
            lines.append(
                f"{head}{one.title}, {line['voice']}: {_came_to(line)}{'' if one.whole else ' (stopped early)'}"
            )
            head = " " * len(head)
    removed = sum(one.removed_utc is not None for one in entries)
    if removed:
        lines.append(f"({removed} removed; heldline takes back brings the last one back)")
    return "\n".join(lines)


def again_to_json(rows: Sequence[Again]) -> dict[str, Any]:
    """What each take came to before and after."""
    return {
        "schema": AGAIN_SCHEMA,
        "takes": [
            {"number": row.number, "title": row.title, "before": list(row.before), "after": list(row.after)}
            for row in rows
        ],
    }


def again_as_text(rows: Sequence[Again]) -> str:
    """One line a sung line: before, after. Both verdicts stay."""
    lines = []
    for row in rows:
        for before, after in zip(row.before, row.after, strict=True):
            now = "as before" if before == after else f"now {_came_to(after)}"
            lines.append(f"{row.number:>4}  {row.title}, {after['voice']}: {_came_to(before)}; {now}")
    return "\n".join(lines)


def judgements_as_text(judged: Sequence[tuple[str, Settings, Summaries]]) -> str:
    """What a take came to under each of several settings, the latest being the one that is counted; "" where there is but one."""
    if len(judged) < 2:
        return ""
    told = [
        f"{_by(settings)}: {', '.join(_came_to(line) for line in lines)}" for _, settings, lines in judged
    ]  # fmt: skip
    return f"{'; '.join(told)}, which counts"


def _by(settings: Settings) -> str:
    said = [f"within {settings.tolerance_cents} cents", f"{settings.against} tuning", f"{settings.octave} octave"]
    said += [f"A4 = {settings.a4_hz:g} Hz"] if settings.a4_hz != A4_HZ else []
    return ", ".join([*said, *(["alone"] if settings.alone else [])])


def _came_to(line: dict[str, Any]) -> str:
    if "held" not in line:
        return "not judged"
    if line["status"] == "nothing heard":
        return "nothing heard"
    return f"{line['held']} of {line['judged']} held"
