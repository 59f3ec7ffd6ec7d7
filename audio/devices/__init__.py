"""The only room with hardware: sound in and out, keys in, synth out, what is plugged in, the round trip.

Nothing outside this folder imports sounddevice or opens MIDI ports, and nothing here knows of music. Importing it touches no
library of sound; each function imports what it needs, so that a machine without PortAudio or MIDI can still read a message.

The axis of frames. A link counts frames at ``rate_hz`` from its first callback. One number means the same place for both
directions: frame *f* of "played1" left in the same callback in which frame *f* of "mic1" arrived, so what the singer sang to
frame *f* lies at *f* plus the round trip on the microphone's channel. Frames that the driver dropped are counted on.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from audio.devices.finding import Found
    from audio.devices.keys_link import KeysLink, SynthLink
    from audio.devices.link import Flags, SoundLink, SoundWish
    from audio.devices.side_by_side import Place, SideBySide

__all__ = ["Flags", "SoundLink", "SoundWish", "found", "open_keys", "open_side_by_side", "open_sound", "open_synth"]

SAY_SECONDS = 0.5
"""A device says nothing of its delay in its first callback, and mostly does in the second."""


def __getattr__(name: str) -> object:
    """The types of a link at their first use: they need numpy, which a look at what is plugged in does not."""
    if name in ("Flags", "SoundLink", "SoundWish"):
        from audio.devices import link

        return getattr(link, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def found() -> Found:
    """What is plugged in, by name, and in words what is missing. Never raises for a missing library, server or device."""
    from audio.devices.finding import look

    return look()


def open_sound(wish: SoundWish | None = None) -> SoundLink:
    """Sound in and out, as a context manager. Raises DeviceError."""
    from audio.devices.link import SoundWish
    from audio.devices.sound import Opening, PortAudioSound

    return PortAudioSound(Opening(wish or SoundWish()))


def open_side_by_side(output: SoundWish | None, inputs: Sequence[SoundWish], places: Sequence[Place]) -> SideBySide:
    """Several devices that listen and one that sounds (None: none does) as one link, as a context manager. Raises DeviceError."""
    import contextlib
    import time

    from audio.devices.no_sound import Counting
    from audio.devices.side_by_side import SideBySide
    from audio.devices.sound import Opening, PortAudioSound

    with contextlib.ExitStack() as unless_whole:  # an error or Ctrl-C on the way leaves nothing open
        openings = []
        for wish in (*([] if output is None else [output]), *inputs):  # each takes a second, most of it waiting
            openings.append(opening := Opening(wish))
            unless_whole.callback(opening.close)
        opened: list[SoundLink] = []
        for opening in openings:
            opened.append(unless_whole.enter_context(PortAudioSound(opening)))
        axis = Counting() if output is None else opened.pop(0)
        until = time.perf_counter() + SAY_SECONDS
        while any(link.reported_round_trip_frames is None for link in (axis, *opened)) and time.perf_counter() < until:
            time.sleep(0.01)
        link = SideBySide(axis, opened, places)
        unless_whole.pop_all()
    return link


def open_keys(name: str | None = None) -> KeysLink:
    """A keyboard's notes, as a context manager; None takes the only or first one plugged in. Raises DeviceError."""
    from audio.devices.midi import keys

    return keys(name)


def open_synth(name: str | None = None) -> SynthLink:
    """A synth to sound notes on, as a context manager. Raises DeviceError."""
    from audio.devices.midi import synth

    return synth(name)
