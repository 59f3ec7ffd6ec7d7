"""The open link of a live command: the devices asked for or used last, and what is remembered of the pair."""

from __future__ import annotations

import argparse
import contextlib
from collections.abc import Iterator
from typing import TYPE_CHECKING

from trainer.errors import DeviceError, HeldlineError

if TYPE_CHECKING:
    from audio.devices import SoundLink
    from trainer.live.delay import Delay
    from trainer.live.own_sound import OwnSound
    from trainer.live.wish import Wish
    from trainer.log.devices import DeviceMemory, Pair


@contextlib.contextmanager
def opened(args: argparse.Namespace, wish: Wish, *, microphones: int = 1) -> Iterator[SoundLink]:
    """The devices asked for, the first channels of the input. Raises DeviceError."""
    from audio.devices import SoundWish, open_sound

    silent = wish.desk.sounding == "silent"
    memory = device_memory()

    def ask(input_name: str | None, output_name: str | None) -> SoundLink:
        return open_sound(
            SoundWish(
                input_name=input_name,
                output_name=None if silent else output_name,
                channels_in=microphones,
                channels_out=0 if silent else 2,
            )
        )

    wanted = (args.input_device, args.output_device)
    remembered = (wanted[0] or memory.last("input"), wanted[1] or memory.last("output"))
    try:
        link = ask(*remembered)
    except DeviceError:
        if remembered == wanted:
            raise
        link = ask(*wanted)  # what was used last is not plugged in today
    try:
        with contextlib.suppress(HeldlineError):  # a device that cannot be remembered is chosen again next time
            memory.use(input=link.input_name, **({"output": link.output_name} if link.output_name else {}))
        yield link
    finally:
        link.close()


def device_memory() -> DeviceMemory:
    """What is remembered of devices on this machine."""
    from trainer.log.devices import DeviceMemory
    from trainer.places import places

    return DeviceMemory(places().devices)


def pair_of(link: SoundLink) -> Pair:
    """Under what a link's measurements are remembered."""
    from trainer.log.devices import Pair

    return Pair(link.input_name, link.output_name, link.rate_hz, link.block_frames)


def delay_of(link: SoundLink) -> Delay:
    """The round trip of these devices: as soundcheck measured it, else as well as it is known."""
    from audio.devices.roundtrip import unmeasured
    from trainer.live.delay import Delay

    measured = device_memory().measured(pair_of(link))
    if measured is not None and link.output_name:
        return Delay(round(measured.round_trip_ms * link.rate_hz / 1000), "measured", link.rate_hz)
    told = unmeasured(link)
    return Delay(told.frames(link.rate_hz), told.source, link.rate_hz)


def own_sound_of(link: SoundLink) -> OwnSound | None:
    """What takes our own sound out of the microphone; None where soundcheck has not learnt how it gets there."""
    from audio.canceller.path import unpacked
    from trainer.live.own_sound import OwnSound

    measured = device_memory().measured(pair_of(link))
    if not link.output_name or measured is None or measured.room is None:
        return None
    room = measured.room
    try:
        path = unpacked(room.taps, delay_frames=room.delay_frames, drift_ppm=room.drift_ppm, left_db=room.left_db)
    except (TypeError, ValueError):
        return None  # of a damaged file nothing is taken for known
    return OwnSound(path)
