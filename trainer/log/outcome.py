"""What one sung line of an attempt came to, as the history keeps it: small records from which tally, plan and maps are counted.

Conventions: bars count in the score that was sung; ``day`` and times come from the attempt. Nothing here judges.
"""

from __future__ import annotations

from dataclasses import dataclass

CHORDS = "chords"
"""The part, and the species, of chords that were held by themselves: time that was sung, and no exercise."""


@dataclass(frozen=True, slots=True)
class BarOutcome:
    """One bar of one sung line.

    Parameters
    ----------
    bar : int
    judged, held : int
        Notes beginning in it that could be told, and those held.
    cause : str
        Main sign of its heaviest fault, "" where all were held.
    pulled_to : str
        Whose note it was, "" where nothing was pulled.
    """

    bar: int
    judged: int
    held: int
    cause: str = ""
    pulled_to: str = ""


@dataclass(frozen=True, slots=True)
class Tried:
    """How often a weak spot was met in one take and failed, named as ``compose --for`` names it: "sixths up", "7-6 clashes"."""

    spot: str
    tried: int
    failed: int


@dataclass(frozen=True, slots=True)
class Figures:
    """What one sung line came to as a whole.

    Parameters
    ----------
    line : int
    voice : str
    mark : str
        "clean", "poor", "between", "nothing" or "unfinished".
    company : str
        "alone", "some", "all" or "unknown".
    guide : str
    part : str
        "whole", or "excerpt" where only some bars were asked for.
    seconds : int
        How long it was sung.
    notes, judged, held, pulled : int
    lowest_midi, highest_midi : int or None
        What was sung of the written notes, in the octave in which it was sung.
    drift_cents : int or None
    """

    line: int
    voice: str
    mark: str
    company: str
    guide: str
    part: str
    seconds: int
    notes: int
    judged: int
    held: int
    pulled: int
    lowest_midi: int | None
    highest_midi: int | None
    drift_cents: int | None


@dataclass(frozen=True, slots=True)
class Outcome(Figures):
    """One sung line of one attempt, with its bars and the weak spots it met."""

    bars: tuple[BarOutcome, ...] = ()
    tried: tuple[Tried, ...] = ()


@dataclass(frozen=True, slots=True)
class Music:
    """What the history remembers of an exercise: its kind, as its file or its rhythm says. Texts are "" where neither does."""

    title: str
    parts: int
    species: str
    mode: str


@dataclass(frozen=True, slots=True)
class Overruling:
    """Somebody's own sign for one beat, with the reason; it stands beside the program's."""

    position: int
    bar: int
    beat: str
    sign: str
    reason: str
    made_utc: str
