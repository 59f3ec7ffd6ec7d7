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
    offset : int
        What is added to the file's bar numbers to have those of the singers' copies.
    """

    who: str
    bars: str
    large: tuple[str, ...]
    small: tuple[str, ...] = ()
    offset: int = 0
