"""Bars as the singers' copies call them: the file's printed numbers, a number added once, rehearsal marks."""

from __future__ import annotations

import re
from dataclasses import dataclass

from trainer.score.model import MARKS, Score
from trainer.score.time import ordinal

MARKED_BARS = 4
"""A mark alone stands for the bars from it to the next mark, so many at most."""

_END = r"(\w+)\s*(?:\((\d{1,3})\w*\))?\s*(?:\+\s*(\d{1,4}))?\s*"
_SPAN = re.compile(rf"\s*{_END}(?:-\s*{_END})?\Z")


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

    def number(self, bar: int) -> str:
        """The number that the copies have for a bar of the file, counted in reading order."""
        printed = next(one.printed for one in self.score.bars().bars if one.number == bar)
        return self._shifted(printed)

    def called(self, bar: int) -> str:
        """What a bar is called: its number, and which of several bars of that number it is, as in ``5 (2nd)``."""
        return "".join(self._told(bar))

    def called_span(self, first: int, last: int) -> str:
        """As in ``5-8``, ``5`` or ``5-8 (2nd)``."""
        if first == last:
            return self.called(first)
        (one, which), (other, which_other) = self._told(first), self._told(last)
        return f"{one}{which if which != which_other else ''}-{other}{which_other}"

    def _told(self, bar: int) -> tuple[str, str]:
        """Number and which: a repeat has its bars twice, and a file may hold pieces that each begin at 1."""
        number = self.number(bar)
        alike = self._bars_of(number)
        return number, "" if len(alike) == 1 else f" ({ordinal(alike.index(bar) + 1)})"

    def _bars_of(self, number: str) -> list[int]:
        return [one.number for one in self.score.bars().bars if self._shifted(one.printed) == number]

    def _shifted(self, printed: str) -> str:
        return str(int(printed) + self.added) if self.added and printed.isdecimal() else printed

    def marks(self) -> dict[str, int]:
        """The bar of every rehearsal mark, in the order of the music."""
        found: dict[str, int] = {}
        for one in self.score.fact(MARKS).split(","):
            name, _, bar = one.strip().rpartition(" ")
            if name and bar.isdecimal():
                found.setdefault(name.strip(), int(bar))
        return dict(sorted(found.items(), key=lambda pair: pair[1]))

    def span(self, words: str) -> tuple[int, int]:
        """First and last bar of ``6``, ``6-9``, ``6-9 (2nd)``, ``B``, ``B+2``, ``B-D``: from a mark up to the bar before another.

        Of several bars of one number the first is meant where nothing is said, of a last bar the first that does not come before the
        first. Raises NoSuchBar.
        """
        told = _SPAN.match(words)
        if told is None:
            raise NoSuchBar(f"{words.strip()!r} is not a bar, two with a dash between, or a rehearsal mark")
        word, which, more, last_word, last_which, last_more = told.groups()
        first = self._bar(word, which or (last_which if len(self._bars_called(word)) > 1 else None), more)
        if last_word is None:
            last = self._end_of(word) if more is None and self._is_mark(word) else first
        else:
            last = self._bar(last_word, last_which, last_more, first) - (last_more is None and self._is_mark(last_word))
        if last < first:
            raise NoSuchBar(f"{words.strip()!r} ends before it begins")
        return first, last

    def _is_mark(self, word: str) -> bool:
        return self._mark(word) is not None

    def _mark(self, word: str) -> int | None:
        return next((bar for name, bar in self.marks().items() if name.lower() == word.lower()), None)

    def _bars_called(self, word: str) -> list[int]:
        mark = self._mark(word)
        return self._bars_of(word) if mark is None else [mark]

    def _bar(self, word: str, which: str | None, more: str | None, earliest: int = 0) -> int:
        bars, alike = self.score.bars().bars, self._bars_called(word)
        if which is None:
            number = next((bar for bar in alike if bar >= earliest), alike[0] if alike else None)
        else:
            number = alike[int(which) - 1] if 0 < int(which) <= len(alike) else None
            word = f"{word} ({ordinal(int(which))})"
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
        first = self._bars_called(word)[0]
        last = self.score.bars().bars[-1].number
        later = [bar - 1 for bar in self.marks().values() if bar > first]
        return min([first + MARKED_BARS - 1, last, *later[:1]])
