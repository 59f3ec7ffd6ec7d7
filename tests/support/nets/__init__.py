"""Many small made-up cases for each part of the judge, most of them on or one step beside a limit, and what the part makes of each.

Where the limits lie and what the words mean is checked by the tests of the parts (``tests/trainer/judge``); the nets hold every other case
fast as it was (regression), so that no comparison, constant or sign in the judge changes unseen; what must be true of all of them says
``test_second_opinion.py``. A net is a file here. ``python tests/trainer/judge/test_nets.py`` writes the kept digests anew.
"""

from __future__ import annotations

import hashlib
import importlib
import random
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass
from enum import Enum
from pathlib import Path
from typing import Any, TypeVar

T = TypeVar("T")
KEPT = Path(__file__).resolve().parents[2] / "golden" / "ours" / "nets.txt"
AT_ONCE = 50
SEED = 26
FILES = tuple(sorted(path.stem for path in Path(__file__).parent.glob("[a-z]*.py")))


class Chance:
    """Draws that are the same on every machine and Python."""

    def __init__(self, seed: int) -> None:
        self._random = random.Random(seed)

    def of(self, *choices: T) -> T:
        """One of the choices."""
        return choices[int(self._random.random() * len(choices))]

    def whole(self, low: int, high: int) -> int:
        """A whole number from *low* to *high*, both included."""
        return low + int(self._random.random() * (high - low + 1))

    def beside(self, *limits: int) -> int:
        """One of the limits, or the whole number just below or above it."""
        return self.of(*limits) + self.of(-1, 0, 1)

    def happens(self, percent: int) -> bool:
        """True in so many of a hundred."""
        return self.whole(1, 100) <= percent


@dataclass(frozen=True)
class Net:
    """Cases of one kind: the files of the judge that they look at, what makes one, and how many there are."""

    name: str
    looks_at: tuple[str, ...]
    case: Callable[[Chance], object]
    count: int
    at_once: int = AT_ONCE

    def digests(self) -> Iterator[str]:
        """A digest for every so many cases, in order."""
        rows: list[str] = []
        for number in range(self.count):
            rows.append(said(self.case(Chance(1000 * SEED + number))))
            if len(rows) == self.at_once or number == self.count - 1:
                yield hashlib.sha256("\n".join(rows).encode()).hexdigest()[:12]
                rows = []

    def row(self) -> str:
        """As it is kept."""
        return f"{self.name}: {' '.join(self.digests())}"


def nets() -> list[Net]:
    """All of them."""
    return [net for name in FILES for net in importlib.import_module(f"nets.{name}").NETS]


def as_kept(file: str | None = None) -> bool:
    """Whether every case is as it was, of the nets that look at *file* alone where one is named; the first difference is enough."""
    kept: Mapping[str, str] = dict(row.split(": ") for row in KEPT.read_text(encoding="utf-8").splitlines())
    found = [net for net in nets() if file is None or file in net.looks_at]
    return all(made == was for net in found for made, was in zip(net.digests(), kept[net.name].split(), strict=True))


def said(value: Any) -> str:
    """Any value of the judge as text: the same for the same value."""
    if isinstance(value, Enum):
        return str(value.value)
    if is_dataclass(value) and not isinstance(value, type):
        return "(" + ",".join(said(getattr(value, field.name)) for field in fields(value)) + ")"
    if isinstance(value, (set, frozenset)):
        return "{" + ",".join(sorted(map(said, value))) + "}"
    if isinstance(value, Mapping):
        return "{" + ",".join(f"{said(k)}:{said(v)}" for k, v in value.items()) + "}"
    if isinstance(value, (tuple, list)):
        return "[" + ",".join(map(said, value)) + "]"
    return str(value)
