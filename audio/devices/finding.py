"""What is plugged in, by name, and in words what is missing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from audio.devices._process import Child
from audio.devices._translate import midi_error, sound_error
from audio.errors import DeviceError

LOOK_SECONDS = 8.0
LEAVE_SECONDS = 1.0


@dataclass(frozen=True, slots=True)
class SoundDevice:
    """One device of one direction.

    Parameters
    ----------
    name : str
    host : str
        The driver family through which it is reached, as PortAudio names it.
    channels : int
    default_rate_hz : int
    usual : bool
        Whether it is taken when nothing is asked for.
    """

    name: str
    host: str
    channels: int
    default_rate_hz: int
    usual: bool = False


@dataclass(frozen=True, slots=True)
class Found:
    """Everything that can be used here.

    Parameters
    ----------
    inputs, outputs : tuple of SoundDevice
        The usual one first.
    keys, synths : tuple of str
        MIDI ports by name that something is plugged into.
    through_ports : tuple of str
        MIDI ports that only pass on what another program sends.
    missing : tuple of str
        A sentence for each thing that is not there.
    missing_next : tuple of str
        What to do about each of them.
    """

    inputs: tuple[SoundDevice, ...] = ()
    outputs: tuple[SoundDevice, ...] = ()
    keys: tuple[str, ...] = ()
    synths: tuple[str, ...] = ()
    through_ports: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    missing_next: tuple[str, ...] = ()


def look() -> Found:
    """Ask both libraries in a process of their own, with a time limit."""
    child = Child("_probe", {})
    try:
        told = child.answer(LOOK_SECONDS)
        child.leave(LEAVE_SECONDS)
    finally:
        child.kill()
    if "sound" not in told:
        error = sound_error({"says": told.get("says", "")})
        return Found(missing=(error.what,), missing_next=(error.do,))
    sound, midi = told["sound"], told["midi"]
    troubles: list[DeviceError] = []
    if "trouble" in sound:
        troubles.append(sound_error(sound))
    elif not sound["input"] and not sound["output"]:
        troubles.append(sound_error({"trouble": "none", "direction": "both"}))
    inputs, outputs = (_devices(sound, direction, troubles) for direction in ("input", "output"))
    keys, through = _ports(midi, troubles)
    return Found(
        inputs,
        outputs,
        keys,
        tuple(name for name in midi.get("output", ()) if name not in midi.get("through", ())),
        through,
        tuple(trouble.what for trouble in troubles),
        tuple(trouble.do for trouble in troubles),
    )


def _devices(sound: dict[str, Any], direction: str, troubles: list[DeviceError]) -> tuple[SoundDevice, ...]:
    rows = sound.get(direction, [])
    if not rows and not troubles:
        troubles.append(sound_error({"trouble": "none", "direction": direction}))
    return tuple(
        SoundDevice(row["name"], row["host"], row["channels"], row["default_rate_hz"], usual=number == 0)
        for number, row in enumerate(rows)
    )


def _ports(midi: dict[str, Any], troubles: list[DeviceError]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    if "trouble" in midi:
        troubles.append(midi_error(midi, "input", None))
        return (), ()
    through = tuple(name for name in midi["input"] if name in midi["through"])
    keys = tuple(name for name in midi["input"] if name not in midi["through"])
    if not keys:
        troubles.append(midi_error({"trouble": "through" if through else "none", "names": through}, "input", None))
    return keys, through
