"""What a section sees of its rehearsal from across the room: few words, large; the rest small. Plain and frozen."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Standing:
    """Where a rehearsal stands.

    Parameters
    ----------
    who : str
        Who sings next or now: the section, or a desk's label.
    bars : str
        Which bars, as the singers' copies call them.
    large : tuple of str
        What is shown large while nobody sings, a line each, the next action last: six words at most together.
    small : tuple of str
        Sentences under it.
    called : tuple of str
        Each of these bars, in order, as the copies call it.
    """

    who: str
    bars: str
    large: tuple[str, ...]
    small: tuple[str, ...] = ()
    called: tuple[str, ...] = ()
