"""Whatever keeps a device from being used, in three parts: what, where, what to do next."""

from __future__ import annotations

from typing import Any

from audio.errors import DeviceError, NoDeviceError

SEE = "heldline soundcheck lists what there is"
NEXT_LIBRARY = "install PortAudio: on Debian and Ubuntu apt install libportaudio2, on Fedora dnf install portaudio"
NEXT_PACKAGE = "install it with pip install sounddevice"
NEXT_DEVICE = "plug one in, or start the sound server"
NEXT_MIDI_PACKAGE = "install it with pip install python-rtmidi (there are builds for Python 3.11 and 3.12)"
NEXT_KEYS = {
    "input": "plug one in",
    "output": "plug one in or start one, or leave the voices to the loudspeaker",
}

DIRECTIONS = {"input": "microphone", "output": "sound output", "both": "microphone and no sound output"}


def sound_error(told: dict[str, Any]) -> DeviceError:
    """The error for what the child process said."""
    kind, says = told.get("trouble", ""), str(told.get("says", ""))
    direction = DIRECTIONS.get(told.get("direction", ""), "sound device")
    names = [str(name) for name in told.get("names", [])]
    if kind == "library":
        return NoDeviceError("the sound library PortAudio is not installed", says, NEXT_LIBRARY)
    if kind == "package":
        return NoDeviceError("the Python package sounddevice is not installed", says, NEXT_PACKAGE)
    if kind == "none":
        return NoDeviceError(f"there is no {direction} here", "", NEXT_DEVICE)
    if kind == "unknown":
        return DeviceError(f"there is no {direction} called {told['name']}", _listed(names), SEE)
    if kind == "several":
        return DeviceError(f"{told['name']} fits more than one {direction}", _listed(names), "give the whole name")
    if kind == "refused":
        return DeviceError(
            f"the sound device cannot be opened: {says}", ", ".join(names), "choose another device; " + SEE
        )
    if kind == "silent start":
        return DeviceError(
            "the sound device was opened but never began", ", ".join(names), "unplug it or restart the sound server"
        )
    return DeviceError(f"the sound device has failed: {says or 'its process has ended'}", ", ".join(names), SEE)


def midi_error(told: dict[str, Any], direction: str, wanted: str | None) -> DeviceError:
    """The error for what the child process of a MIDI port said."""
    kind, says = told.get("trouble", ""), str(told.get("says", ""))
    names = [str(name) for name in told.get("names", [])]
    what = {"input": "MIDI keyboard", "output": "MIDI synth"}[direction]
    if kind == "package":
        return NoDeviceError("the Python package python-rtmidi is not installed", says, NEXT_MIDI_PACKAGE)
    if kind == "through":
        return NoDeviceError(
            "there is a MIDI port but nothing is plugged into it", _listed(names), NEXT_KEYS[direction]
        )
    if kind == "none":
        return NoDeviceError(f"there is no {what} here", "", NEXT_KEYS[direction])
    if kind == "unknown":
        return DeviceError(f"there is no {what} called {wanted}", _listed(names), SEE)
    if kind == "several":
        return DeviceError(f"{wanted} fits more than one {what}", _listed(names), "give the whole name")
    return DeviceError(f"the {what} cannot be opened: {says}", ", ".join(names), "unplug it and plug it in again")


def _listed(names: list[str]) -> str:
    return f"there are {', '.join(names)}" if names else ""
