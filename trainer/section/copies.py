"""Bars as the singers' copies call them: the file's printed numbers, a number added once, rehearsal marks."""

from __future__ import annotations

import re
from dataclasses import dataclass

from trainer.score.model import MARKS, Score

MARKED_BARS = 4
"""A mark alone stands for the bars from it to the next mark, so many at most."""

_SPAN = re.compile(r"\s*(\w+)\s*(?:\+\s*(\d{1,4}))?\s*(?:-\s*(\w+)\s*(?:\+\s*(\d{1,4}))?)?\s*\Z")


class NoSuchBar(Exception):
    """Bars that the copies do not have; its text is a sentence without its full stop."""


@dataclass(frozen=True, slots=True)
class Copies:
    """How the bars of one score are called.

    Parameters
    ----------
    score : Score
    added : int
        What the copies count more than the file.
    """

    score: Score
    added: int = 0

    def called(self, bar: int) -> str:
        """What a bar of the file, counted in reading order, is called."""
        printed = next(one.printed for one in self.score.bars().bars if one.number == bar)
        return shifted(printed, self.added)

    def called_span(self, first: int, last: int) -> str:
        """As in ``5-8`` or ``5``."""
        return self.called(first) if first == last else f"{self.called(first)}-{self.called(last)}"

    def marks(self) -> dict[str, int]:
        """The bar of every rehearsal mark, in the order of the music."""
        found: dict[str, int] = {}
        for one in self.score.fact(MARKS).split(","):
            name, _, bar = one.strip().rpartition(" ")
            if name and bar.isdecimal():
                found.setdefault(name.strip(), int(bar))
        return dict(sorted(found.items(), key=lambda pair: pair[1]))

    def span(self, words: str) -> tuple[int, int]:
        """First and last bar of ``6``, ``6-9``, ``B``, ``B+2``, ``B-D``: from a mark up to the bar before another. Raises NoSuchBar."""
        told = _SPAN.match(words)
        if told is None:
            raise NoSuchBar(f"{words.strip()!r} is not a bar, two with a dash between, or a rehearsal mark")
        first = self._bar(told[1], told[2])
        if told[3] is None:
            last = self._end_of(told[1]) if told[2] is None and self._is_mark(told[1]) else first
        else:
            last = self._bar(told[3], told[4]) - (told[4] is None and self._is_mark(told[3]))
        if last < first:
            raise NoSuchBar(f"{words.strip()!r} ends before it begins")
        return first, last

    def _is_mark(self, word: str) -> bool:
        return self._mark(word) is not None

    def _mark(self, word: str) -> int | None:
        return next((bar for name, bar in self.marks().items() if name.lower() == word.lower()), None)

    def _bar(self, word: str, more: str | None) -> int:
        bars = self.score.bars().bars
        number = self._mark(word)
        if number is None:
            number = next((bar.number for bar in bars if shifted(bar.printed, self.added) == word), None)
        if number is not None:
            number += int(more or 0)
        if number is None or not bars[0].number <= number <= bars[-1].number:
            known = f"bars {self.called(bars[0].number)} to {self.called(bars[-1].number)}"
            marks = ", ".join(self.marks())
            raise NoSuchBar(
                f"there is no bar {word}; the copies have {known}{f' and the marks {marks}' if marks else ''}"
            )
        return number

    def _end_of(self, word: str) -> int:
        first = self._bar(word, None)
        last = self.score.bars().bars[-1].number
        later = [bar - 1 for bar in self.marks().values() if bar > first]
        return min([first + MARKED_BARS - 1, last, *later[:1]])


def shifted(printed: str, added: int) -> str:
    """A printed number with so much added; what is no number stays."""
    return str(int(printed) + added) if added and printed.isdecimal() else printed
