"""When messages came, by the driver's own clock: on a busy machine we are woken late, but never early. Standard library only.

The driver says how long after the one before each message came. The message that reached us soonest after its time tells how its
clock lies to ours; all others are put where the driver says. The clocks may drift apart, so only the last seconds count.
"""

from __future__ import annotations

from collections import deque

WINDOW_NS = 30_000_000_000
"""Crystals differ by up to 50 parts in a million: 1.5 ms in so long (common practice, no source)."""

LONGEST_NS = 200_000_000
"""A message that seems to be older than this tells that the driver's clock jumped: begin anew."""


class DriversClock:
    """Turns the driver's "so long after the last one" into times of our own clock."""

    def __init__(self) -> None:
        self._driver_ns = 0
        self._offsets: deque[tuple[int, int]] = deque()

    def came_ns(self, now_ns: int, since_last_s: float) -> int:
        """When a message came that is handed to us *now_ns*; never later than that."""
        self._driver_ns += round(since_last_s * 1e9)
        offset = now_ns - self._driver_ns
        while self._offsets and (self._offsets[-1][1] >= offset or now_ns - self._offsets[0][0] > WINDOW_NS):
            self._offsets.pop() if self._offsets[-1][1] >= offset else self._offsets.popleft()
        self._offsets.append((now_ns, offset))
        came = self._driver_ns + self._offsets[0][1]
        if now_ns - came > LONGEST_NS:
            self._offsets = deque([(now_ns, offset)])
            return now_ns
        return came
