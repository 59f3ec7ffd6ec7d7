"""Before the first take: the first pitch, then time to read."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from audio.devices import SoundLink


def look_through(
    link: SoundLink, seconds: int, look: Callable[..., str], give_pitch: Callable[[], int], hush: Callable[[], object]
) -> None:
    """Any start command ends it.

    Parameters
    ----------
    link : SoundLink
    seconds : int
        To read in.
    look : callable
        The session's: given the phase and what is to be shown of it, it answers "go" when a start is asked for.
    give_pitch : callable
        Sounds the first pitch and gives the frame at which it is over.
    hush : callable
        Ends it.
    """
    until = give_pitch()
    while link.write_until() < until:
        if look("tuning note") == "go":
            hush()
            break
    end = link.write_until() + seconds * link.rate_hz
    while (left := end - link.write_until()) > 0:
        if look("look-through", seconds_left=-(-left // link.rate_hz)) == "go":
            return
