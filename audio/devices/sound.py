"""Sound through PortAudio in a child process that may be killed.

A dead sound server makes PortAudio's own calls hang for ever, and a busy interpreter makes callbacks late; so PortAudio lives in
a process of its own (``_child``) and this side only copies to and from the shared rings. Nothing here ever waits for the device
but opening and closing, and both have a limit.
"""

from __future__ import annotations

import contextlib
import time
from types import TracebackType
from typing import Any, Self

from audio.block import Block, Samples
from audio.devices import _rings as at
from audio.devices._meeting import Meeting
from audio.devices._memory import Memory
from audio.devices._process import Child
from audio.devices._rings import Shared
from audio.devices._side import ROOM_FRAMES, Side
from audio.devices._translate import sound_error
from audio.devices.link import Flags, SoundWish

OPEN_SECONDS = 12.0
FIRST_CALLBACK_SECONDS = 4.0
STILL_SECONDS = 0.85
"""A callback so old means that the device or server is gone; told within a second."""

SECOND_LOOK_SECONDS = 0.05
"""After this machine slept, the first look finds an old callback too: only a second look believes it."""

CLOSE_SECONDS = 1.0


class Opening:
    """A child that was told what to open and has not answered yet: several of them open side by side."""

    def __init__(self, wish: SoundWish) -> None:
        self.wish = wish
        self.memory = Memory(at.size_bytes(wish.channels_in, wish.channels_out))
        order = {name: getattr(wish, name) for name in wish.__dataclass_fields__} | {"memory": self.memory.token}
        self.child = Child("_child", order, self.memory.inherited)

    def close(self) -> None:
        """Whatever it has opened by now is left at once; may be called twice."""
        self.child.kill()
        self.memory.close()


class PortAudioSound:
    """A SoundLink on real devices; see there for what its parts mean.

    Parameters
    ----------
    opening : Opening
        Whose answer is waited for.

    Raises
    ------
    DeviceError
        When PortAudio, a server or the device is missing, or when the device refuses.
    """

    def __init__(self, opening: Opening) -> None:
        wish = opening.wish
        self.channels_in = wish.channels_in
        self.channels_out = wish.channels_out
        self.room_frames = ROOM_FRAMES
        self.trouble = ""
        self._memory, self._child = opening.memory, opening.child
        shared = Shared(self._memory.map, wish.channels_in, wish.channels_out)
        self._header = shared.header
        self._still_since: tuple[int, float] = (-1, 0.0)
        self._closed = False
        try:
            told = self._opened()
        except BaseException:
            self._kill()
            raise
        self.rate_hz: int = told["rate_hz"]
        self.input_name: str = told["input_name"]
        self.output_name: str = told["output_name"]
        self.block_frames = int(shared.records[0, at.COUNT])
        self._side = Side(shared, self.rate_hz, wish.channels_in, wish.channels_out)
        self._read = self._side.read
        self._two_streams = told["streams"] == 2
        if self._two_streams:
            self._read = Meeting(self._side, shared, told["input_rate_hz"]).read

    @property
    def alive(self) -> bool:
        """As ``SoundLink.alive``."""
        if self.trouble:
            return False
        if self._header[at.FAULT] or self._child.ended:
            self.trouble = self._child.last_words() or "the process of the sound device has ended"
            return False
        last_ns = int(self._header[at.LAST_NS])
        if self._two_streams and self._header[at.INPUT_LAST_NS]:
            last_ns = min(last_ns, int(self._header[at.INPUT_LAST_NS]))
        now = time.perf_counter()
        if now - last_ns / 1e9 < STILL_SECONDS:
            return True
        seen_ns, since = self._still_since
        if seen_ns != last_ns:
            self._still_since = (last_ns, now)
        elif now - since >= SECOND_LOOK_SECONDS:
            self.trouble = "the sound device or its server has vanished"
        return not self.trouble

    @property
    def reported_round_trip_frames(self) -> int | None:
        """As ``SoundLink.reported_round_trip_frames``."""
        return self._side.reported_round_trip_frames

    def write_until(self) -> int:
        """As ``SoundLink.write_until``: one block beyond what was taken, since the next callback may come at any moment."""
        return self._side.taken + self.block_frames

    def play(self, start_frame: int, samples: Samples) -> int:
        """As ``SoundLink.play``."""
        return self._side.play(start_frame, samples)

    def read(self) -> list[Block]:
        """As ``SoundLink.read``."""
        return self._read()

    def flags(self) -> Flags:
        """As ``SoundLink.flags``."""
        return self._side.flags()

    def close(self) -> None:
        """As ``SoundLink.close``: the last block fades, then the child leaves or is made to."""
        if self._closed:
            return
        self._header[at.CLOSING] = 1
        if not self.trouble:
            # two blocks: one that fades and one of silence, so that nothing is cut off with a click
            blocks = 2 * self.block_frames / self.rate_hz if hasattr(self, "rate_hz") else 0.0
            time.sleep(min(blocks, 0.2))
        self.trouble = self.trouble or "the link is closed"
        self._child.leave(CLOSE_SECONDS)
        self._kill()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def __del__(self) -> None:
        """A link that was forgotten does not leave its child behind."""
        with contextlib.suppress(Exception):
            self._kill()

    def _opened(self) -> dict[str, Any]:
        """What the child opened, once the first callback has come."""
        told = self._child.answer(OPEN_SECONDS)
        if "trouble" in told:
            raise sound_error(told)
        self._memory.forget_name()
        until = time.perf_counter() + FIRST_CALLBACK_SECONDS
        while not self._header[at.CALLBACKS]:
            if self._child.ended:
                raise sound_error({"says": self._child.last_words()})
            if time.perf_counter() > until:
                names = [name for name in (told["input_name"], told["output_name"]) if name]
                raise sound_error({"trouble": "silent start", "names": names})
            time.sleep(0.005)
        return told

    def _kill(self) -> None:
        self._closed = True
        self._child.kill()
        self._memory.close()
