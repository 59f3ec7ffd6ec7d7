"""Keys and synths in a child process: what a driver of MIDI prints, hangs on or takes long for stays there."""

from __future__ import annotations

import contextlib
import json
import queue
import threading
import time
from types import TracebackType
from typing import Self

from audio.devices._process import Child
from audio.devices._translate import midi_error
from audio.devices.keys_link import KeyMoved, KeysLink, SynthLink
from audio.devices.messages import Parser
from audio.errors import DeviceError

OPEN_SECONDS = 8.0
CLOSE_SECONDS = 1.0
SILENT_SECONDS = 2.0
"""The child tells ten times a second that the port is there; so long without a word and it is taken for hung."""

ALL_NOTES_OFF = 123


def keys(name: str | None) -> KeysLink:
    """An open keyboard. Raises DeviceError."""
    return Keys(name)


def synth(name: str | None) -> SynthLink:
    """An open synth. Raises DeviceError."""
    return Synth(name)


class _Port:
    """A child that holds one port."""

    def __init__(self, direction: str, name: str | None) -> None:
        self.trouble = ""
        self._child = Child("_midi_child", {"direction": direction, "name": name})
        try:
            told = self._child.answer(OPEN_SECONDS)
            if "name" not in told:
                raise midi_error(told, direction, name)
        except BaseException:
            self._child.kill()
            raise
        self.name = str(told["name"])
        self._lines: queue.SimpleQueue[bytes] = queue.SimpleQueue()
        self._last_seconds = time.perf_counter()
        threading.Thread(target=self._listen, daemon=True).start()

    @property
    def alive(self) -> bool:
        """False for good once the port is gone."""
        if not self.trouble:
            if self._child.ended:
                self.trouble = self.trouble or f"{self.name} is gone"
            elif time.perf_counter() - self._last_seconds > SILENT_SECONDS:
                self.trouble = f"{self.name} gives no sign any more"
        return not self.trouble

    def close(self) -> None:
        """Let the port go."""
        if not self.trouble:
            self.trouble = "the port is closed"
        self._child.leave(CLOSE_SECONDS)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def __del__(self) -> None:
        with contextlib.suppress(Exception):
            self._child.kill()

    def _listen(self) -> None:
        with contextlib.suppress(OSError, ValueError):  # the pipe is closed under it at the end
            for line in self._child.process.stdout or ():
                self._last_seconds = time.perf_counter()
                self._lines.put(line)


class Keys(_Port):
    """A KeysLink on a MIDI port."""

    def __init__(self, name: str | None) -> None:
        self._parser = Parser()
        super().__init__("input", name)

    def read(self) -> list[KeyMoved]:
        """As ``KeysLink.read``."""
        was_alive = self.alive
        moved: list[KeyMoved] = []
        with contextlib.suppress(queue.Empty):
            while True:
                moved += self._told(self._lines.get_nowait().decode().split())
        if not was_alive:
            moved += self._parser.let_go(time.perf_counter())
        return moved

    def _told(self, words: list[str]) -> list[KeyMoved]:
        if words[:1] == ["m"]:
            return self._parser.feed(int(words[1]) / 1e9, bytes.fromhex(words[2]))
        if words[:1] == ["h"]:
            return self._parser.tick(int(words[1]) / 1e9)
        with contextlib.suppress(ValueError):
            self.trouble = str(json.loads(" ".join(words)).get("says", "")) or self.trouble
        return []


class Synth(_Port):
    """A SynthLink on a MIDI port. The child ends every note that it began, even when we are killed."""

    def __init__(self, name: str | None) -> None:
        self._channels: set[int] = set()
        super().__init__("output", name)

    def note_on(self, midi: int, velocity: int, channel: int = 0) -> None:
        """As ``SynthLink.note_on``."""
        self._send(0x90 | channel, midi, velocity)

    def note_off(self, midi: int, channel: int = 0) -> None:
        """As ``SynthLink.note_off``."""
        self._send(0x80 | channel, midi, 0)

    def program(self, number: int, channel: int = 0) -> None:
        """As ``SynthLink.program``."""
        self._send(0xC0 | channel, number)

    def silence(self) -> None:
        """As ``SynthLink.silence``."""
        for channel in sorted(self._channels):
            self._send(0xB0 | channel, ALL_NOTES_OFF, 0)

    def close(self) -> None:
        """Silence and let the port go."""
        if self.alive:
            with contextlib.suppress(DeviceError):
                self.silence()
        super().close()

    def _send(self, *message: int) -> None:
        self._channels.add(message[0] & 0x0F)
        if not self.alive or not self._child.say(bytes(message).hex()):
            raise DeviceError(self.trouble or f"{self.name} is gone", self.name, "plug it in and begin again")
