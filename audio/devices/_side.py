"""The parent's side of the shared rings: lays sound ahead, reads back what was heard and played, counts what was lost."""

from __future__ import annotations

from typing import Any

import numpy as np

from audio.block import Block, Samples
from audio.devices import _rings as at
from audio.devices._rings import RING_FRAMES, Fence, Shared
from audio.devices.link import Flags, channel_names

ROOM_FRAMES = RING_FRAMES // 2
"""How far ahead sound may be laid; the other half keeps what was played until it is read."""

SPARE_FRAMES = 16_384
"""Distance that reading keeps from the writer's lap."""


class Side:
    """One link's memory as its reader sees it.

    Parameters
    ----------
    shared : Shared
    rate_hz : int
        Of the axis.
    channels_in, channels_out : int
    """

    def __init__(self, shared: Shared, rate_hz: int, channels_in: int, channels_out: int) -> None:
        self.rate_hz = rate_hz
        self.channels_in = channels_in
        self.channels_out = channels_out
        self.names = channel_names(channels_in, channels_out)
        self._shared = shared
        self._header = shared.header
        self._fence = Fence()
        self._read_records = 0
        self._read_frame: int | None = None
        self._own_lost = self._own_overflows = self._late = 0
        self._own_flagged: int | None = None

    @property
    def taken(self) -> int:
        """First frame that no callback has taken."""
        return int(self._header[at.TAKEN])

    @property
    def reported_round_trip_frames(self) -> int | None:
        """The middle of what the stamps of the last callbacks say."""
        count = int(self._header[at.CALLBACKS])
        rows = [self._shared.records[index % at.RECORDS, at.ROUND_TRIP] for index in range(max(0, count - 64), count)]
        known = sorted(int(frames) for frames in rows if frames > 0)
        return known[len(known) // 2] if known and len(known) * 2 > len(rows) else None

    def play(self, start_frame: int, samples: Samples) -> int:
        """As ``SoundLink.play``."""
        if samples.ndim != 2 or samples.shape[1] != self.channels_out:
            raise ValueError(f"sound of shape {samples.shape} does not fit {self.channels_out} outputs")
        if not np.isfinite(samples).all():
            raise ValueError("sound with a sample that is no number is not played")
        end = start_frame + len(samples)
        taken = self.taken
        if end > taken + ROOM_FRAMES:
            raise ValueError(f"frame {end} is further ahead than {ROOM_FRAMES} frames")
        first = max(start_frame, taken)
        if first < end:
            self._shared.laid.put(first, np.asarray(samples[first - start_frame :], np.float32))
            self._fence()
            self._shared.meant.put(first, np.arange(first + 1, end + 1, dtype=np.int64))
        # taken is looked at again: what a callback passed while we wrote may not have sounded
        late = min(max(self.taken - start_frame, 0), len(samples))
        if late:
            self._late += late
            self._own_flagged = taken
        return late

    def read(self) -> list[Block]:
        """As ``SoundLink.read``, for a stream that hears and plays in the same callbacks."""
        blocks: list[Block] = []
        for first, last in stretches(self.new_records()):
            start, end = int(first[at.START]), int(last[at.START] + last[at.COUNT])
            samples = np.empty((end - start, len(self.names)), np.float32)
            self._shared.heard.get(start, samples[:, : self.channels_in])
            blocks.append(self.block(start, samples, int(first[at.HOST_NS]) / 1e9))
        return blocks

    def block(self, start: int, samples: Samples, host_seconds: float) -> Block:
        """A Block of *samples*, its played channels still to be filled, with the frames lost before it."""
        self._shared.played.get(start, samples[:, self.channels_in :])
        lost = 0 if self._read_frame is None else start - self._read_frame
        self._read_frame = start + len(samples)
        return Block(samples, self.names, start, self.rate_hz, lost, host_seconds)

    def new_records(self) -> list[Any]:
        """Callbacks since the last time whose sound is still there, in order."""
        count = int(self._header[at.CALLBACKS])
        first = max(self._read_records, count - at.RECORDS // 2)
        self._fence()
        wanted = [self._shared.records[index % at.RECORDS].copy() for index in range(first, count)]
        oldest = self.taken - RING_FRAMES + SPARE_FRAMES
        kept = [row for row in wanted if row[at.START] >= oldest]
        if len(kept) < count - self._read_records:  # we came too late; the gap shows in the next block
            gap_end = int(kept[0][at.START]) if kept else int(wanted[-1][at.START] + wanted[-1][at.COUNT])
            self.overrun(gap_end, gap_end - (self._read_frame or 0))
        self._read_records = count
        return kept

    def overrun(self, frame: int, lost_frames: int) -> None:
        """Count sound that was there and that we did not fetch in time."""
        self._own_overflows += 1
        self._own_lost += lost_frames
        self._own_flagged = frame

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


def stretches(rows: list[Any]) -> list[tuple[Any, Any]]:
    """First and last record of each stretch of sound without a gap; callbacks whose input was invented are left out."""
    found: list[tuple[Any, Any]] = []
    for row in rows:
        if row[at.WRONG] & at.INVENTED:
            continue
        if found and row[at.START] == found[-1][1][at.START] + found[-1][1][at.COUNT]:
            found[-1] = (found[-1][0], row)
        else:
            found.append((row, row))
    return found
