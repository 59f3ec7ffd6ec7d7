"""Bytes of MIDI to keys that moved.

Bytes are taken as they come: with running status, with real-time bytes in the middle of a message, cut anywhere. A keyboard that
falls silent after it promised to keep in touch (active sensing) is taken for unplugged.

Source: The Complete MIDI 1.0 Detailed Specification (MMA 1996): running status, system messages, note-on with velocity 0,
channel mode messages 120 and 123 to 127, active sensing.
"""

from __future__ import annotations

from audio.devices.keys_link import KeyMoved

SENSING_SECONDS = 1.0
"""The specification has the receiver give up after 0.3 s; a laptop under load is given longer before its notes are cut."""

_LENGTHS = {0x80: 2, 0x90: 2, 0xA0: 2, 0xB0: 2, 0xC0: 1, 0xD0: 1, 0xE0: 2, 0xF1: 1, 0xF2: 2, 0xF3: 1}
_MODE_NOTES_OFF = (120, 123, 124, 125, 126, 127)
_SYSTEM_RESET, _ACTIVE_SENSING = 0xFF, 0xFE


class Parser:
    """Remembers the status in force and the keys that are down."""

    def __init__(self) -> None:
        self._status = 0
        self._bytes: list[int] = []
        self._in_exclusive = False
        self._down: dict[tuple[int, int], bool] = {}
        self._last_seconds = 0.0
        self._senses = False

    @property
    def down(self) -> list[tuple[int, int]]:
        """(channel, key) of each key that is down, in the order in which they went down."""
        return list(self._down)

    def feed(self, at_seconds: float, message: bytes) -> list[KeyMoved]:
        """What these bytes say, all of it at *at_seconds*."""
        self._last_seconds = at_seconds
        moved: list[KeyMoved] = []
        for byte in message:
            moved += self._byte(at_seconds, byte)
        return moved

    def tick(self, now_seconds: float) -> list[KeyMoved]:
        """What follows from hearing nothing until *now_seconds*."""
        if self._senses and now_seconds - self._last_seconds > SENSING_SECONDS:
            self._senses = False
            return self.let_go(now_seconds)
        return []

    def let_go(self, at_seconds: float, channel: int | None = None) -> list[KeyMoved]:
        """All keys, or those of one channel, come up without the keyboard's word."""
        keys = [key for key in self._down if channel in (None, key[0])]
        for key in keys:
            del self._down[key]
        return [KeyMoved(at_seconds, midi, 0, on_channel, forced=True) for on_channel, midi in keys]

    def _byte(self, at_seconds: float, byte: int) -> list[KeyMoved]:
        if byte >= 0xF8:  # real-time: may stand anywhere and changes nothing around it
            self._senses = self._senses or byte == _ACTIVE_SENSING
            return self.let_go(at_seconds) if byte == _SYSTEM_RESET else []
        if byte >= 0x80:
            self._status, self._bytes = byte, []
            self._in_exclusive = byte == 0xF0
            return []
        if self._in_exclusive or self._status == 0:
            return []
        self._bytes.append(byte)
        kind = self._status if self._status >= 0xF0 else self._status & 0xF0
        if len(self._bytes) < _LENGTHS.get(kind, 1):
            return []
        first, second = (*self._bytes, 0)[:2]
        self._bytes = []
        if self._status >= 0xF0:
            self._status = 0  # system messages end running status
            return []
        return self._whole(at_seconds, kind, self._status & 0x0F, first, second)

    def _whole(self, at_seconds: float, kind: int, channel: int, first: int, second: int) -> list[KeyMoved]:
        key = (channel, first)
        if kind == 0x90 and second > 0:
            # a key that went down twice must have come up between
            stuck = [KeyMoved(at_seconds, first, 0, channel, forced=True)] if self._down.pop(key, False) else []
            self._down[key] = True
            return [*stuck, KeyMoved(at_seconds, first, second, channel)]
        if kind in (0x80, 0x90):
            return [KeyMoved(at_seconds, first, 0, channel)] if self._down.pop(key, False) else []
        if kind == 0xB0 and first in _MODE_NOTES_OFF:
            return self.let_go(at_seconds, channel)
        return []
