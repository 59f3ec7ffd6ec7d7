"""Which devices are meant by their numbers and names. Lives in the child process; sounddevice is handed in."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

PREFERRED_HOSTS = (
    "JACK Audio Connection Kit",
    "Core Audio",
    "Windows WASAPI",
    "ASIO",
    "ALSA",
    "Windows DirectSound",
    "MME",
)
"""A JACK server runs because somebody started it; WASAPI before the older ways of Windows, which add delay. Others come last."""


class Refused(Exception):
    """Why nothing was opened: *kind* is none, unknown, several or refused."""

    def __init__(self, kind: str, says: str, **more: Any) -> None:
        super().__init__(says)
        self.kind = kind
        self.more = more


@dataclass(frozen=True, slots=True)
class Device:
    """One direction of one device."""

    index: int
    name: str
    host: str
    channels: int
    rate_hz: int


def chosen(sounddevice: Any, order: dict[str, Any]) -> tuple[Device | None, Device | None]:
    """Input and output, each None where it is not wanted. Raises Refused."""
    heard = candidates(sounddevice, "input") if order["channels_in"] else []
    sounding = candidates(sounddevice, "output") if order["channels_out"] else []
    by_number = _numbered(heard, order["input_number"])
    named = by_number or _named(heard, order["input_name"], "input"), _named(sounding, order["output_name"], "output")
    host = next((device.host for device in named if device is not None), None)
    picked = [
        device or (_usual(rows, host) if wanted else None)
        for device, rows, wanted in zip(
            named, (heard, sounding), (order["channels_in"], order["channels_out"]), strict=True
        )
    ]
    for device, direction, wanted in zip(
        picked, ("input", "output"), (order["channels_in"], order["channels_out"]), strict=True
    ):
        if wanted and device is None:
            raise Refused("none", f"there is no {direction}", direction=direction)
    return picked[0], picked[1]


def place_of(rows: Sequence[Device], number: int | None, name: str | None) -> int:
    """Which of the inputs, as ``candidates`` lists them, is the one of that number or name. Raises Refused."""
    found = _numbered(rows, number) or _named(rows, name, "input") or _usual(rows, None)
    if found is None:
        raise Refused("none", "there is no input", direction="input")
    return rows.index(found)


def candidates(sounddevice: Any, direction: str) -> list[Device]:
    """Every device of a direction, the best host first, each host's own default first."""
    rows = []
    hosts = list(sounddevice.query_hostapis())
    for index, device in enumerate(sounddevice.query_devices()):
        channels = int(device[f"max_{direction}_channels"])
        if channels > 0:
            host = hosts[device["hostapi"]]
            usual = index != host[f"default_{direction}_device"]
            rank = _rank(host["name"])
            found = Device(index, device["name"], host["name"], channels, round(device["default_samplerate"]))
            rows.append(((rank, usual, index), found))
    return [device for _, device in sorted(rows, key=lambda row: row[0])]


def _rank(host: str) -> int:
    return PREFERRED_HOSTS.index(host) if host in PREFERRED_HOSTS else len(PREFERRED_HOSTS)


def _usual(rows: Sequence[Device], host: str | None) -> Device | None:
    """The first choice, of *host* when it has any."""
    return next((device for device in rows if device.host == host), rows[0] if rows else None)


def _numbered(rows: Sequence[Device], number: int | None) -> Device | None:
    """The input of that number, from 1, as ``candidates`` lists them."""
    if number is None:
        return None
    if not 1 <= number <= len(rows):
        names = [f"{place} {device.name}" for place, device in enumerate(rows, start=1)]
        raise Refused("unknown", f"there is no input {number}", direction="input", name=str(number), names=names)
    return rows[number - 1]


def _named(rows: Sequence[Device], name: str | None, direction: str) -> Device | None:
    """The device of that name: the whole name first, then any case, then a part of it."""
    if name is None:
        return None
    if not rows:
        raise Refused("none", f"there is no {direction}", direction=direction)
    for same in _likenesses(name):
        fitting = [device for device in rows if same(device)]
        if fitting and len({device.name for device in fitting}) == 1:
            return fitting[0]
        if fitting:
            names = list(dict.fromkeys(device.name for device in fitting))
            raise Refused("several", f"{name} fits several of them", direction=direction, name=name, names=names)
    names = list(dict.fromkeys(device.name for device in rows))
    raise Refused("unknown", f"there is no {direction} called {name}", direction=direction, name=name, names=names)


def _likenesses(name: str) -> Iterator[Callable[[Device], bool]]:
    low = name.casefold()
    yield lambda device: name in (device.name, f"{device.name}, {device.host}")
    yield lambda device: low in (device.name.casefold(), f"{device.name}, {device.host}".casefold())
    yield lambda device: low in device.name.casefold()
