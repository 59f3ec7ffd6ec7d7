"""How a kind of difficulty is declared, and what it gives back.

A kind is one file of ``trainer/singable/kinds`` (or a tight family is one) that holds ``KINDS``, a tuple of :class:`Kind`. Its ``find``
looks at a :class:`Part` and yields a :class:`Found` a note: how many points harder it is, and why in a sentence for the singer. What
everybody takes in their stride (a third, a fourth) has points and no words. Points are exact fractions: one is about what a third
costs after a step. They are craft knowledge with no published scale behind them (common practice, no source), made to be compared
within a line and fitted to takes.

Examples are drill text in short as for the rules of counterpoint: voices from the top parted by ``//``, headers before them parted by
``;`` and ended by ``::``. ``sing:`` says whose line it is, else the top one. The tests play them all.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from trainer.rules.texture import Tone
from trainer.singable.part import Part

HALF, ONE, TWO = Fraction(1, 2), Fraction(1), Fraction(2)


class Found(NamedTuple):
    """One note that is harder (or, below 0, easier) than a step: by how much, why, and what might be done where that is special here.

    ``says`` is the rest of a sentence about this place; "" for what weighs but is not told.
    """

    tone: Tone
    points: Fraction
    says: str = ""
    advice: str = ""


Find = Callable[[Part], Iterable[Found]]


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of difficulty.

    Parameters
    ----------
    id : str
        Lower-case words with hyphens.
    sentence : str
        Why it is hard, in one sentence.
    advice : str
        What helps the singer or the writer.
    source : str
        Author and year; 'common practice, no source', 'from memory' or 'our own' where that is so.
    find : callable
        A part to what it finds.
    good, bad : tuple of examples
    """

    id: str
    sentence: str
    advice: str
    source: str
    find: Find
    good: tuple[str, ...] = ()
    bad: tuple[str, ...] = ()
