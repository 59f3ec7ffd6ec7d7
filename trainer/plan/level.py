"""How hard new music may be: learnt from the lines that were held, or not, lately.

The level of new music is the one held cleanly twice lately, or once where it was the only one, and the one above it: what is nearly in
hand and a little more. After two takes running that went badly it is that level and the one below. Our own, common practice otherwise
(the next thing is a little harder than the last that went well).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

LATELY = 12
"""Takes that are looked at."""

CLEAN, POOR = "clean", "poor"


@dataclass(frozen=True, slots=True)
class Held:
    """One whole take of a line in company: the line's level and the take's mark."""

    level: int
    mark: str


@dataclass(frozen=True, slots=True)
class Learnt:
    """What practice says: the levels to try, and why in words."""

    levels: range
    why: str


def learnt_level(takes: Sequence[Held], lowest: int, highest: int) -> Learnt | None:
    """The levels that the latest of *takes* (oldest first) ask for; None where there are none."""
    recent = takes[-LATELY:]
    if not recent:
        return None
    clean = sorted((one.level for one in recent if one.mark == CLEAN), reverse=True)
    alone = len(recent) == 1
    if not clean:
        least = max(lowest, min(one.level for one in recent) - 1)
        return Learnt(
            range(least, least + 1),
            "your last take was not clean" if alone else f"none of your last {len(recent)} takes was clean",
        )
    base = clean[1] if len(clean) > 1 else clean[0]
    badly = len(recent) > 1 and all(one.mark == POOR for one in recent[-2:])
    first = max(lowest, base - 1) if badly else min(base, highest)
    last = base if badly else min(base + 1, highest)
    held = sum(level >= base for level in clean)
    why = f"{held} of your last {len(recent)} takes {'was' if held == 1 else 'were'} clean at level {base} or above"
    if alone:
        why = f"your last take was clean at level {base}"
    return Learnt(range(first, last + 1), f"{why}, the last two went badly" if badly else why)
