"""Takes by the day on which they were sung, in the time of this place, and how long somebody has been singing.

A clock that was set back leaves takes dated after today; these count as today's, and how many there are is told.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, tzinfo

from trainer.log.history import LineTaken

REST_SECONDS = 20 * 60
DAY_SECONDS = 45 * 60
BREAK_MINUTES = 5
"""Sing for twenty minutes, rest five, and no more than three quarters of an hour of singing a day (common practice, no source); rests and
water let amateurs sing longer without a change of voice (Yiu and Chan 2003, from memory)."""


@dataclass(frozen=True, slots=True)
class Now:
    """The moment of a plan: in UTC, and where the clock on the wall stands (None: this machine's own)."""

    utc: datetime
    zone: tzinfo | None = None

    @property
    def day(self) -> date:
        """Today."""
        return self.utc.astimezone(self.zone).date()


def days_of(taken: Sequence[LineTaken], now: Now) -> list[date]:
    """The day of each take, none after today."""
    today, known, found = now.day, {}, []
    for one in taken:
        # a zone never changes within an hour and a quarter of it
        quarter = one.started_utc[:14] + str(int(one.started_utc[14:16]) // 15)
        if quarter not in known:
            known[quarter] = moment(one.started_utc).astimezone(now.zone).date()
        found.append(min(known[quarter], today))
    return found


def dated_ahead(taken: Iterable[LineTaken], now: Now) -> int:
    """How many takes carry a day after today."""
    late = (now.utc + timedelta(days=1)).strftime("%Y-%m-%dT%H:%M:%SZ")
    return len({one.number for one in taken if one.started_utc > late})


def moment(started_utc: str) -> datetime:
    """The moment of ``2025-03-04T19:05:00Z``."""
    return datetime.fromisoformat(started_utc.removesuffix("Z")).replace(tzinfo=UTC)


def seconds_today(taken: Sequence[LineTaken], now: Now) -> int:
    """How long was sung today."""
    # what began two days ago is of an earlier day in any zone; a clock that was set back may hide some, never add any
    since = (now.utc - timedelta(days=2)).strftime("%Y-%m-%dT%H:%M:%SZ")
    recent = [one for one in taken if one.started_utc >= since and _sung(one)]
    return sum(one.seconds for one, day in zip(recent, days_of(recent, now), strict=True) if day == now.day)


def seconds_without_rest(taken: Sequence[LineTaken], now: Now) -> int:
    """How long was sung since the last rest of five minutes, up to now; 0 while resting."""
    total, until = 0, now.utc
    for one in reversed(taken):
        if not _sung(one):
            continue
        begun = moment(one.started_utc)
        if begun > until:  # the clock was set back: it belongs to the stretch, and says nothing of a rest
            total += one.seconds
            continue
        if until - begun - timedelta(seconds=one.seconds) >= timedelta(minutes=BREAK_MINUTES):
            break
        total, until = total + one.seconds, begun
    return total


def _sung(one: LineTaken) -> bool:
    return one.source == "sung"
