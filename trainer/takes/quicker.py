"""When the compiled steps of tracker and canceller (``audio.compiled``) are worth what they cost to load, and where they are kept."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from audio.block import Block

LOAD_AFTER_SECONDS = 30
"""A second of sound costs 17 ms less with them, and they cost 0.4 s: whoever has heard this much has paid as much without them."""

MAKE_AFTER_SECONDS = 600
"""The same for the ten seconds of the processor that compiling the tracker's takes, once a version."""

FIRST_SOUND_SECONDS = 8.0
"""Of a session; who starts at once hears the first sound in these, 0.1 s later where the steps are loaded meanwhile."""


def in_a_session() -> None:
    """Behind a session that listens: it has begun, nobody waits, and it mostly goes on for minutes."""
    from audio import compiled
    from audio.pitch import TRACKERS
    from trainer.places import places

    TRACKERS.load("audio.pitch")
    compiled.make_behind(places().compiled, FIRST_SOUND_SECONDS)


def as_heard(blocks: Iterable[Block]) -> Iterator[Block]:
    """The blocks of a recording, to be tracked; when there were enough of them the compiled steps are loaded meanwhile."""
    from audio import compiled
    from trainer.places import places

    seconds = 0.0
    waits = [(LOAD_AFTER_SECONDS, compiled.load_behind), (MAKE_AFTER_SECONDS, compiled.make_behind)]
    for block in blocks:
        yield block
        seconds += len(block.samples) / block.rate_hz
        if waits and seconds >= waits[0][0]:
            waits.pop(0)[1](places().compiled)
