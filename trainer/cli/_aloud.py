"""Sound let out through the loudspeaker for commands that would else write a file."""

from __future__ import annotations

import contextlib
import time
from collections.abc import Iterable
from typing import TYPE_CHECKING

from trainer.errors import DeviceError, HeldlineError

if TYPE_CHECKING:
    from audio.block import Samples
    from audio.devices import SoundLink

OUTPUT_HELP = "the loudspeaker or headphones, where no file is written"


def sound_aloud(pieces: Iterable[Samples], output_name: str | None, words: str) -> None:
    """Every piece through the loudspeaker asked for, else the one used last, else the system's own; *words* are said before.

    Raises
    ------
    DeviceError
        Where there is none, or when it vanishes.
    """
    from trainer.live.aloud import aloud

    with contextlib.closing(_opened(output_name)) as link:
        if words:
            print(words, flush=True)
        aloud(link, pieces, time.sleep)


def _opened(output_name: str | None) -> SoundLink:
    from audio.devices import SoundWish, open_sound
    from trainer.cli._link import device_memory

    memory = device_memory()
    remembered = output_name or memory.last("output")
    try:
        link = open_sound(SoundWish(output_name=remembered, channels_in=0))
    except DeviceError:
        if remembered == output_name:
            raise
        link = open_sound(SoundWish(channels_in=0))  # what was used last is not plugged in today
    with contextlib.suppress(HeldlineError):  # a device that cannot be remembered is chosen again next time
        memory.use(output=link.output_name)
    return link
