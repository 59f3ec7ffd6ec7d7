"""How a rule is declared, and what it gives back.

A rule is one file (or a tight family is one) that holds ``RULES``, a tuple of :class:`Rule`. Its ``find`` looks at a :class:`Piece`
and yields a :class:`Fault` a place; how grave that is, a rule set says. Where schools differ by circumstance (outer or inner voices, a
step or a leap on top), the fault names a *case*, and the set has a line ``id:case``. Everything else that schools set differently is
a *parameter*, read from the set through :class:`Settings`.

Examples are drill text in short: voices from the top parted by ``//``, headers before them parted by ``;`` and ended by ``::``, as in
``species: 2; cantus: bass :: A4 F | B G // D4 | E``. The tests play every one: a bad one must be found by its rule, a good one not.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from trainer.rules.piece import SPECIES as SPECIES
from trainer.rules.piece import Piece
from trainer.rules.texture import Tone

EVERY = SPECIES | {"free"}
"""Rules that concern any voices are kept when a score is checked free."""


class Fault(NamedTuple):
    """One place where a rule is broken.

    ``at`` and ``to`` are ticks (the moment before and the moment of the fault; the same where there is only one), ``tones`` the notes
    that make it, ``says`` the rest of a sentence about this place, ``case`` the circumstance that the rule set grades by. ``advice``
    replaces the rule's own where the place allows a better one.
    """

    at: int
    to: int
    tones: tuple[Tone, ...]
    says: str
    case: str = ""
    advice: str = ""
    whose: tuple[int, ...] = ()

    @property
    def voices(self) -> tuple[int, ...]:
        """The voices concerned, top first: those of the tones, unless ``whose`` says otherwise."""
        return self.whose or tuple(sorted({tone.voice for tone in self.tones}))


@dataclass(frozen=True, slots=True)
class Settings:
    """A rule's parameters in force, as the rule set writes them."""

    values: Mapping[str, str]

    def number(self, name: str) -> int:
        """A whole number. KeyError for a parameter that the rule does not have."""
        return int(self.values[name])

    def words(self, name: str) -> tuple[str, ...]:
        """Words parted by commas; none for ``none``."""
        text = self.values[name]
        return () if text == "none" else tuple(text.split(","))


Find = Callable[[Piece, Settings], Iterable[Fault]]


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule of counterpoint.

    Parameters
    ----------
    id : str
        Lower-case words with hyphens.
    sentence : str
        The rule in one sentence, as a teacher says it.
    advice : str
        What usually mends it.
    source : str
        Author and year; 'common practice, no source' or 'from memory' where that is so.
    find : callable
        (Piece, Settings) to faults.
    species : set of str
        It is asked only where a voice is of one of these; ``EVERY`` holds for scores checked free, too.
    cases : mapping of case to a few words
        Every case that ``find`` gives.
    parameters : mapping of name to the value in force where a set says nothing
    yields_to : tuple of rule ids
        Rules that tell the same event better: of two that are equally grave, theirs is the one finding.
    good, bad : tuple of examples
    """

    id: str
    sentence: str
    advice: str
    source: str
    find: Find
    species: frozenset[str] = EVERY
    cases: Mapping[str, str] = field(default_factory=dict)
    parameters: Mapping[str, str] = field(default_factory=dict)
    yields_to: tuple[str, ...] = ()
    good: tuple[str, ...] = ()
    bad: tuple[str, ...] = ()


def parted(text: str) -> Iterator[tuple[str, str]]:
    """Headers (name, value) of an example, then its voices as (``"voice"``, text)."""
    head, mark, body = text.rpartition("::")
    if mark:
        for one in head.split(";"):
            name, _, value = one.partition(":")
            yield name.strip(), value.strip()
    for voice in body.split("//"):
        yield "voice", voice.strip()
