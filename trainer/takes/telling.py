"""Being told of what goes wrong on the way."""

from __future__ import annotations

from collections.abc import Callable

Tell = Callable[[str], None]
"""Told one message at a time, in words."""


def once(tell: Tell) -> Tell:
    """The same, but what was told is not told again: a full disk fails every round of a loop alike."""
    told: set[str] = set()

    def tell_new(message: str) -> None:
        if message not in told:
            told.add(message)
            tell(message)

    return tell_new
