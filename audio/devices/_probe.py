"""The process that asks both libraries what there is: it may hang, crash or chatter without harm."""

from __future__ import annotations

import json
import sys
from typing import Any

from audio.devices import _midi_ports
from audio.devices._choice import candidates


def main() -> None:
    """Answer once."""
    json.loads(sys.stdin.readline())
    sys.stdout.write(json.dumps({"sound": _sound(), "midi": _midi_ports.listed()}) + "\n")
    sys.stdout.flush()


def _sound() -> dict[str, Any]:
    try:
        import sounddevice
    except ImportError as err:
        return {"trouble": "package", "says": str(err)}
    except OSError as err:
        return {"trouble": "library", "says": str(err)}
    return {direction: _rows(sounddevice, direction) for direction in ("input", "output")}


def _rows(sounddevice: Any, direction: str) -> list[dict[str, Any]]:
    return [
        {
            "name": device.name,
            "host": device.host,
            "channels": device.channels,
            "default_rate_hz": device.rate_hz,
        }
        for device in candidates(sounddevice, direction)
    ]
