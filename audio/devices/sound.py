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

import numpy as np

from audio.block import Block, Samples
from audio.devices import _rings as at
from audio.devices._memory import Memory
from audio.devices._process import Child
from audio.devices._rings import RING_FRAMES, Fence, Shared
from audio.devices._translate import sound_error
from audio.devices.link import Flags, SoundWish, channel_names

OPEN_SECONDS = 12.0
FIRST_CALLBACK_SECONDS = 4.0
STILL_SECONDS = 0.85
"""A callback so old means that the device or server is gone; told within a second."""

SECOND_LOOK_SECONDS = 0.05
"""After this machine slept, the first look finds an old callback too: only a second look believes it."""

CLOSE_SECONDS = 1.0
SPARE_FRAMES = 16_384
"""Distance that reading keeps from the writer's lap."""


class PortAudioSound:
    """A SoundLink on real devices; see there for what its parts mean.

    Raises
    ------
    DeviceError
        When PortAudio, a server or the device is missing, or when the device refuses.
    """

    def __init__(self, wish: SoundWish) -> None:
        self.channels_in = wish.channels_in
        self.channels_out = wish.channels_out
        self.room_frames = RING_FRAMES // 2
        self.trouble = ""
        self._names = channel_names(wish.channels_in, wish.channels_out)
        self._memory = Memory(at.size_bytes(wish.channels_in, wish.channels_out))
        self._shared = Shared(self._memory.map, wish.channels_in, wish.channels_out)
        self._header = self._shared.header
        self._fence = Fence()
        self._read_records = 0
        self._read_frame = 0
        self._own_lost = self._own_overflows = self._late = 0
        self._own_flagged: int | None = None
        self._still_since: tuple[int, float] = (-1, 0.0)
        self._closed = False
        order = {name: getattr(wish, name) for name in wish.__dataclass_fields__} | {"memory": self._memory.token}
        self._child = Child("_child", order, self._memory.inherited)
        try:
            told = self._opened()
        except BaseException:
            self._kill()
            raise
        self._told = told
        self.rate_hz: int = told["rate_hz"]
        self.input_name: str = told["input_name"]
        self.output_name: str = told["output_name"]
        self.block_frames = int(self._shared.records[0, at.COUNT])

    @property
    def alive(self) -> bool:
        """As ``SoundLink.alive``."""
        if self.trouble:
            return False
        if self._header[at.FAULT] or self._child.ended:
            self.trouble = self._child.last_words() or "the process of the sound device has ended"
            return False
        last_ns = int(self._header[at.LAST_NS])
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
        """As ``SoundLink.reported_round_trip_frames``; the middle of the last callbacks."""
        count = int(self._header[at.CALLBACKS])
        rows = [self._shared.records[index % at.RECORDS, at.ROUND_TRIP] for index in range(max(0, count - 64), count)]
        known = sorted(int(frames) for frames in rows if frames > 0)
        return known[len(known) // 2] if known and len(known) * 2 > len(rows) else None

    def write_until(self) -> int:
        """As ``SoundLink.write_until``: one block beyond what was taken, since the next callback may come at any moment."""
        return int(self._header[at.TAKEN]) + self.block_frames

    def play(self, start_frame: int, samples: Samples) -> int:
        """As ``SoundLink.play``."""
        if samples.ndim != 2 or samples.shape[1] != self.channels_out:
            raise ValueError(f"sound of shape {samples.shape} does not fit {self.channels_out} outputs")
        if not np.isfinite(samples).all():
            raise ValueError("sound with a sample that is no number is not played")
        end = start_frame + len(samples)
        taken = int(self._header[at.TAKEN])
        if end > taken + self.room_frames:
            raise ValueError(f"frame {end} is further ahead than {self.room_frames} frames")
        first = max(start_frame, taken)
        if first < end:
            numbers = np.arange(first + 1, end + 1, dtype=np.int64)
            # while the samples change, no frame is meant to sound: half old, half new would
            self._shared.laid.put(first, np.asarray(samples[first - start_frame :], np.float32))
            self._fence()
            self._shared.meant.put(first, numbers)
        late = min(max(int(self._header[at.TAKEN]) - start_frame, 0), len(samples))
        if late:
            self._late += late
            self._own_flagged = taken
        return late

    def read(self) -> list[Block]:
        """As ``SoundLink.read``."""
        rows = self._new_records()
        blocks: list[Block] = []
        index = 0
        while index < len(rows):
            upto = index + 1
            while upto < len(rows) and _goes_on(rows[upto - 1], rows[upto]):
                upto += 1
            if not rows[index][at.WRONG] & at.INVENTED:
                blocks.append(self._block(rows[index], rows[upto - 1]))
            index = upto
        return blocks

    def flags(self) -> Flags:
        """As ``SoundLink.flags``."""
        header = self._header
        flagged = [self._own_flagged] if self._own_flagged is not None else []
        if header[at.LAST_FLAGGED]:
            flagged.append(int(header[at.LAST_FLAGGED]) - 1)
        return Flags(
            callbacks=int(header[at.CALLBACKS]),
            overflows=int(header[at.OVERFLOWS]) + self._own_overflows,
            underflows=int(header[at.UNDERFLOWS]),
            lost_frames=int(header[at.LOST]) + self._own_lost,
            late_frames=self._late,
            last_flagged_frame=max(flagged, default=None),
        )

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

    def _new_records(self) -> list[Any]:
        """Records since the last read that still have their sound, in order."""
        count = int(self._header[at.CALLBACKS])
        first = max(self._read_records, count - at.RECORDS // 2)
        self._fence()
        wanted = [self._shared.records[index % at.RECORDS].copy() for index in range(first, count)]
        oldest = int(self._header[at.TAKEN]) - RING_FRAMES + SPARE_FRAMES
        kept = [row for row in wanted if row[at.START] >= oldest]
        if len(kept) < count - self._read_records:  # we came too late; the gap shows in the next block
            self._own_overflows += 1
            gap_end = int(kept[0][at.START]) if kept else int(wanted[-1][at.START] + wanted[-1][at.COUNT])
            self._own_lost += gap_end - self._read_frame
            self._own_flagged = gap_end
        self._read_records = count
        return kept

    def _block(self, first: Any, last: Any) -> Block:
        start, end = int(first[at.START]), int(last[at.START] + last[at.COUNT])
        samples = np.empty((end - start, len(self._names)), np.float32)
        self._shared.heard.get(start, samples[:, : self.channels_in])
        self._shared.played.get(start, samples[:, self.channels_in :])
        lost, self._read_frame = start - self._read_frame, end
        return Block(samples, self._names, start, self.rate_hz, lost, int(first[at.HOST_NS]) / 1e9)

    def _kill(self) -> None:
        self._closed = True
        self._child.kill()
        self._memory.close()


def _goes_on(before: Any, row: Any) -> bool:
    """Whether two callbacks are one stretch of sound."""
    return bool(
        row[at.START] == before[at.START] + before[at.COUNT]
        and not (row[at.WRONG] | before[at.WRONG]) & at.INVENTED
        and not row[at.LOST_BEFORE]
    )
