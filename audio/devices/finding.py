"""What is plugged in, by name, and in words what is missing."""

from __future__ import annotations

from dataclasses import dataclass


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
        Whether the system takes it when nothing is asked for.
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
    keys, synths : tuple of str
        MIDI ports by name that something is plugged into.
    through_ports : tuple of str
        MIDI ports that only pass on what another program sends.
    missing : tuple of str
        A sentence for each thing that is not there, with what to do.
    """

    inputs: tuple[SoundDevice, ...] = ()
    outputs: tuple[SoundDevice, ...] = ()
    keys: tuple[str, ...] = ()
    synths: tuple[str, ...] = ()
    through_ports: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()


def look() -> Found:
    """Ask both libraries."""
    raise NotImplementedError  # replaced in the next commit
