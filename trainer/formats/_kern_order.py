"""Labelled sections of kern and the list that says in which order they are sung.

Source: D. Huron, The Humdrum Toolkit: Reference Manual, 1994: ``*>[A,A,B]`` lists the sections in the usual order, ``*>A`` begins one;
lists with a name, such as ``*>norep[A,B]``, are other ways through and are not taken.
"""

from __future__ import annotations

import re

from trainer.errors import ScoreError
from trainer.formats import MOST_BARS
from trainer.formats._written import Measure

_LIST = re.compile(r"\*>(\w*)\[([^\[\]]*)\]\Z")


class Sections:
    """Gathers the labels and the list while a file is read."""

    def __init__(self) -> None:
        self._listed: list[str] = []
        self._starts: dict[str, int] = {}

    def is_list(self, token: str) -> bool:
        """Whether the interpretation lists sections."""
        return _LIST.match(token) is not None

    def take(self, token: str, measure: int) -> None:
        """Keep a list, or the label of a section that begins with *measure*. Every spine says the same."""
        match = _LIST.match(token)
        if match is None:
            self._starts.setdefault(token[2:], measure)
        elif not match[1]:
            self._listed = [label.strip() for label in match[2].split(",")]

    def order(self, measures: list[Measure], path: str) -> tuple[tuple[int, int], ...] | None:
        """(index of the measure, which time through) as listed; None without a list. Raises ScoreError."""
        if not self._listed:
            return None
        missing = [label for label in self._listed if label not in self._starts]
        if missing:
            raise ScoreError(
                f"the file lists a section {missing[0][:20]!r} and has none of that name",
                path,
                "correct its list of sections",
            )
        starts = sorted(set(self._starts.values()))
        ends = dict(zip(starts, [*starts[1:], len(measures)], strict=True))
        found = [(index, 1) for index in range(starts[0])]
        sung: dict[str, int] = {}
        for label in self._listed:
            sung[label] = sung.get(label, 0) + 1
            found += [(index, sung[label]) for index in range(self._starts[label], ends[self._starts[label]])]
            if len(found) > MOST_BARS:
                raise ScoreError(f"as listed, the file has more than {MOST_BARS} measures", path, "list fewer sections")
        return tuple(found)
