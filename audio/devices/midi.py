"""Keys and synths through mido and python-rtmidi."""

from __future__ import annotations

from audio.devices.keys_link import KeysLink, SynthLink


def keys(name: str | None) -> KeysLink:
    """Replaced in the next commit."""
    raise NotImplementedError


def synth(name: str | None) -> SynthLink:
    """Replaced in the next commit."""
    raise NotImplementedError
