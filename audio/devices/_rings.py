"""Memory that two processes share: sound both ways in rings, a table of callbacks, counters.

One side writes each thing and the other only reads it, so nobody ever waits. Rings are indexed by frame number modulo
``RING_FRAMES``. A frame of sound to be played carries its own number, so that what was meant for an earlier lap, or came too
late, never sounds. Counters are written after what they count; ``Fence`` keeps it so on processors that reorder stores.

Imported by the child process: numpy and the standard library only.
"""

from __future__ import annotations

import mmap
import threading
from typing import Any

import numpy as np
from numpy.typing import NDArray

RING_FRAMES = 1 << 18
"""5.5 s at 48 kHz: what may be laid ahead and what may wait to be read, together."""

HIGHEST_RATE_HZ = 192_000
"""The half of the ring that may be laid ahead holds 0.7 s of it, and half a second is laid."""

RECORDS = 1 << 13
"""Callbacks that may wait to be read: 11 s of 64 frames at 48 kHz."""

# slots of the header, one 64-bit integer each; written by the child
FRAMES, TAKEN, CALLBACKS, LAST_NS, OVERFLOWS, UNDERFLOWS, LOST, LAST_FLAGGED, FAULT = range(9)
INPUT_CALLBACKS, INPUT_LAST_NS = 9, 10
# written by the parent
CLOSING = 32
HEADER_SLOTS = 64

# columns of a record
START, COUNT, LOST_BEFORE, WRONG, HOST_NS, ROUND_TRIP = range(6)
RECORD_COLUMNS = 6

# bits of WRONG
OVERFLOWED, UNDERFLOWED, INVENTED = 1, 2, 4


class Fence:
    """A lock that nobody else holds: taking and leaving it orders what was stored before against what is stored after.

    POSIX.1-2017, Base Definitions 4.12, lists the functions beneath it among those that synchronise memory.
    """

    def __init__(self) -> None:
        self._lock = threading.Lock()

    def __call__(self) -> None:
        with self._lock:
            pass


class Ring:
    """A table of rows by frame number, the last ``RING_FRAMES`` of them."""

    def __init__(self, rows: NDArray[Any]) -> None:
        self._rows = rows

    def put(self, start: int, values: NDArray[Any]) -> None:
        """Rows *start* and on; at most a whole ring."""
        at, count = start % RING_FRAMES, len(values)
        first = min(count, RING_FRAMES - at)
        self._rows[at : at + first] = values[:first]
        if first < count:
            self._rows[: count - first] = values[first:]

    def get(self, start: int, out: NDArray[Any]) -> None:
        """Fill *out* from row *start* on."""
        at, count = start % RING_FRAMES, len(out)
        first = min(count, RING_FRAMES - at)
        out[:first] = self._rows[at : at + first]
        if first < count:
            out[first:] = self._rows[: count - first]


class Shared:
    """The whole memory, seen through names.

    Parameters
    ----------
    memory : mmap
        ``size_bytes(channels_in, channels_out)`` long, zeros when new.
    channels_in, channels_out : int
    """

    def __init__(self, memory: mmap.mmap, channels_in: int, channels_out: int) -> None:
        self._memory = memory
        self._at = 0
        self.header = self._part(np.int64, (HEADER_SLOTS,))
        self.records = self._part(np.int64, (RECORDS, RECORD_COLUMNS))
        self.input_records = self._part(np.int64, (RECORDS, RECORD_COLUMNS))
        self.meant = Ring(self._part(np.int64, (RING_FRAMES,)))
        self.heard = Ring(self._part(np.float32, (RING_FRAMES, channels_in)))
        self.laid = Ring(self._part(np.float32, (RING_FRAMES, channels_out)))
        self.played = Ring(self._part(np.float32, (RING_FRAMES, channels_out)))

    def _part(self, kind: type, shape: tuple[int, ...]) -> NDArray[Any]:
        count = int(np.prod(shape))
        part: NDArray[Any] = np.frombuffer(self._memory, kind, count, self._at).reshape(shape)
        self._at += part.nbytes
        return part


def size_bytes(channels_in: int, channels_out: int) -> int:
    """Bytes that ``Shared`` needs."""
    whole = HEADER_SLOTS + 2 * RECORDS * RECORD_COLUMNS + RING_FRAMES
    return 8 * whole + 4 * RING_FRAMES * (channels_in + 2 * channels_out)
