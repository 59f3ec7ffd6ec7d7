"""Labels for desks: words, never names, unless somebody types one."""

from __future__ import annotations

from collections.abc import Sequence

BIRDS = (
    "wren",
    "heron",
    "teal",
    "dunlin",
    "avocet",
    "curlew",
    "plover",
    "godwit",
    "linnet",
    "siskin",
    "knot",
    "rail",
    "snipe",
    "smew",
    "whinchat",
    "garganey",
)
MOST_DESKS = 40


class LabelTwice(ValueError):
    """Two desks with one label; its text says which."""


def birds(count: int, taken: Sequence[str] = ()) -> tuple[str, ...]:
    """So many labels that are not taken yet: birds, and numbers where these run out."""
    free = [bird for bird in BIRDS if bird not in taken]
    free += [f"desk {number}" for number in range(1, count + len(taken) + 1) if f"desk {number}" not in taken]
    return tuple(free[:count])


def desks_of(words: str) -> tuple[str, ...]:
    """Labels of ``6``, six birds, or of ``wren,heron``. Raises LabelTwice, or ValueError for what is neither."""
    told = words.strip()
    if told.isdecimal():
        if not 1 <= int(told) <= MOST_DESKS:
            raise ValueError(f"{told} desks are not possible; give 1 to {MOST_DESKS}")
        return birds(int(told))
    labels = [label.strip() for label in told.split(",")]
    if not all(labels) or len(labels) > MOST_DESKS:
        raise ValueError(f"{told!r} is neither a number of desks nor their labels")
    refuse_twice(labels)
    return tuple(labels)


def refuse_twice(labels: Sequence[str]) -> None:
    """Raises LabelTwice for a label that stands twice, large and small letters alike."""
    seen: set[str] = set()
    for label in labels:
        if label.lower() in seen:
            raise LabelTwice(f"two desks are called {label}")
        seen.add(label.lower())
